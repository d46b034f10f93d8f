//! Did-you-mean: the declared name nearest to one that was written.

/// Names longer than this are not compared: the work grows with the square of the length.
const LONGEST: usize = 120;

/// The candidate that was probably meant, or none when every one would be far-fetched.
///
/// Letter case and the choice between space, hyphen and underscore do not count. Beyond that, one
/// slip (a letter more, less or other, or two swapped; Damerau 1964, Levenshtein 1966) is forgiven
/// for every four letters begun of names with three letters or more. Among equals the one with the more
/// alike beginning (Winkler 1990) and then the earlier one wins.
pub fn nearest<'a, I>(name: &str, candidates: I) -> Option<&'a str>
where
    I: IntoIterator,
    I::Item: Into<&'a str>,
{
    let name = folded(name)?;
    let mut best: Option<(usize, f64, &'a str)> = None;
    for candidate in candidates {
        let candidate: &'a str = candidate.into();
        let Some((slips, alike)) = distance(&name, candidate) else {
            continue;
        };
        let better = best.is_none_or(|(s, a, _)| slips < s || (slips == s && alike > a));
        if better {
            best = Some((slips, alike, candidate));
        }
    }
    best.map(|(_, _, candidate)| candidate)
}

/// A help line `did you mean …?` for [`nearest`].
pub fn did_you_mean<'a, I>(name: &str, candidates: I) -> Option<String>
where
    I: IntoIterator,
    I::Item: Into<&'a str>,
{
    nearest(name, candidates).map(|candidate| format!("did you mean `{candidate}`?"))
}

/// Slips between two names and how alike they begin, unless there are too many slips.
fn distance(name: &str, candidate: &str) -> Option<(usize, f64)> {
    let candidate = folded(candidate)?;
    let (n, m) = (name.chars().count(), candidate.chars().count());
    let allowed = match n.min(m) {
        0..3 => 0,
        short => short.div_ceil(4),
    };
    if n.abs_diff(m) > allowed {
        return None;
    }
    let slips = strsim::damerau_levenshtein(name, &candidate);
    (slips <= allowed).then(|| (slips, strsim::jaro_winkler(name, &candidate)))
}

/// A name as it is compared; none for one too long to compare.
fn folded(name: &str) -> Option<String> {
    if name.len() > LONGEST {
        return None;
    }
    let lower = name.trim().to_lowercase();
    Some(lower.replace(['-', '_'], " "))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATIONS: [&str; 5] = ["rip saw", "cross-cut saw", "cure oven", "press", "plane"];

    fn meant(name: &str) -> Option<&'static str> {
        nearest(name, STATIONS)
    }

    #[test]
    fn a_slip_or_two_is_forgiven() {
        assert_eq!(meant("rip swa"), Some("rip saw")); // two letters swapped
        assert_eq!(meant("cros-cut saw"), Some("cross-cut saw")); // one missing
        assert_eq!(meant("Cure Oven"), Some("cure oven")); // case alone
        assert_eq!(meant("cure_oven"), Some("cure oven")); // the joint alone
        assert_eq!(meant("plain"), Some("plane")); // plain → plan e: two slips of five letters
    }

    #[test]
    fn far_fetched_is_silence() {
        assert_eq!(meant("lathe"), None);
        assert_eq!(meant(""), None);
        assert_eq!(nearest("ab", ["ac"]), None); // one letter of two is half the name
        assert_eq!(meant(&"x".repeat(100_000)), None);
    }

    #[test]
    fn the_nearer_wins_then_the_earlier() {
        assert_eq!(nearest("oven 3", ["oven 1", "oven 2"]), Some("oven 1"));
        assert_eq!(nearest("pres", ["presto", "press"]), Some("press"));
    }

    #[test]
    fn help_is_worded_once() {
        assert_eq!(
            did_you_mean("pres", STATIONS),
            Some("did you mean `press`?".to_owned())
        );
    }
}

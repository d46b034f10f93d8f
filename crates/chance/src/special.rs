//! Special functions, on `libm` alone so that every machine gives the same bits.
//!
//! The incomplete beta and gamma functions start from Loader's saddle-point form of the leading
//! term (C. Loader, *Fast and accurate computation of binomial probabilities*, 2000), which keeps
//! full relative accuracy for counts of ten million and for far tails, where the textbook form
//! `exp(a·ln x + b·ln(1−x) − ln B)` loses six to nine digits. Both tails are always returned, so
//! a caller never has to form 1 − 0.999999999.

use std::f64::consts::FRAC_1_SQRT_2;

/// ½·ln(2π).
const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_8;
/// Relative change at which a series or continued fraction has converged.
const CONVERGED: f64 = 3e-16;
/// The fractions take about √(a + b) terms; this is far past any count the callers allow.
const MOST_TERMS: u32 = 1_000_000;

/// The two tails of a distribution at a point; they sum to one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tails {
    /// Probability at or below the point.
    pub lower: f64,
    /// Probability above the point.
    pub upper: f64,
}

impl Tails {
    const NONE_BELOW: Self = Self {
        lower: 0.0,
        upper: 1.0,
    };
    const ALL_BELOW: Self = Self {
        lower: 1.0,
        upper: 0.0,
    };

    fn from_lower(lower: f64) -> Self {
        Self {
            lower,
            upper: 1.0 - lower,
        }
    }

    fn from_upper(upper: f64) -> Self {
        Self {
            lower: 1.0 - upper,
            upper,
        }
    }

    fn swapped(self) -> Self {
        Self {
            lower: self.upper,
            upper: self.lower,
        }
    }
}

/// ln Γ(x), x > 0.
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// Stirling's error δ(x) = ln Γ(x) − (x−½)·ln x + x − ½·ln 2π, x > 0.
///
/// The asymptotic series (Abramowitz & Stegun 6.1.41) from 10 upward; below, the recurrence
/// δ(x) = δ(x+1) + (x+½)·ln(1+1/x) − 1 lifts the argument.
pub fn stirling_error(x: f64) -> f64 {
    let mut lifted = x;
    let mut carried = 0.0;
    while lifted < 10.0 {
        carried += (lifted + 0.5) * libm::log1p(1.0 / lifted) - 1.0;
        lifted += 1.0;
    }
    let inverse = 1.0 / lifted;
    let square = inverse * inverse;
    let terms = [
        1.0 / 12.0,
        -1.0 / 360.0,
        1.0 / 1260.0,
        -1.0 / 1680.0,
        1.0 / 1188.0,
        -691.0 / 360_360.0,
    ]
    .iter()
    .rev()
    .fold(1.0 / 156.0, |sum, term| sum * square + term);
    carried + terms * inverse
}

/// The deviance x·ln(x/m) + m − x of a count x from its mean m (Loader 2000, `bd0`).
fn deviance(x: f64, mean: f64) -> f64 {
    if x == 0.0 {
        return mean;
    }
    let gap = x - mean;
    if gap.abs() >= 0.1 * (x + mean) {
        return x * libm::log(x / mean) - gap;
    }
    // With v = (x−m)/(x+m): x·ln(x/m) = 2x·(v + v³/3 + v⁵/5 + …), and gap·v is the leading part.
    let v = gap / (x + mean);
    let square = v * v;
    let mut sum = gap * v;
    let mut power = 2.0 * x * v;
    let mut odd = 3.0;
    loop {
        power *= square;
        let next = sum + power / odd;
        if next == sum || power == 0.0 {
            return sum;
        }
        sum = next;
        odd += 2.0;
    }
}

/// ln of x for x = 1 − y, accurate on both sides of ½.
fn ln_share(x: f64, y: f64) -> f64 {
    if x > 0.5 {
        libm::log1p(-y)
    } else {
        libm::log(x)
    }
}

/// ln of Γ(a+b+1)/(Γ(a+1)Γ(b+1)) · p^a · q^b for real a, b ≥ 0 and q = 1 − p (Loader 2000).
///
/// For whole numbers this is the chance of `a` successes in `a + b` trials.
pub fn ln_binomial_term(a: f64, b: f64, p: f64, q: f64) -> f64 {
    if a == 0.0 {
        return if b == 0.0 { 0.0 } else { b * ln_share(q, p) };
    }
    if b == 0.0 {
        return a * ln_share(p, q);
    }
    let n = a + b;
    let errors = stirling_error(n) - stirling_error(a) - stirling_error(b);
    let deviances = deviance(a, n * p) + deviance(b, n * q);
    // a/n·b rather than a·b/n: the product of two large counts must not overflow.
    errors - deviances - HALF_LN_TWO_PI - 0.5 * libm::log(a / n * b)
}

/// ln B(a, b) = ln Γ(a) + ln Γ(b) − ln Γ(a+b), without the cancellation of that form.
pub fn ln_beta(a: f64, b: f64) -> f64 {
    let s = a + b;
    let (x, y) = (a / s, b / s);
    HALF_LN_TWO_PI - 0.5 * libm::log(s)
        + (a - 0.5) * ln_share(x, y)
        + (b - 0.5) * ln_share(y, x)
        + stirling_error(a)
        + stirling_error(b)
        - stirling_error(s)
}

/// ln of the number of ways to choose `k` of `n`; −∞ when k > n.
pub fn ln_choose(n: f64, k: f64) -> f64 {
    if k < 0.0 || k > n {
        return f64::NEG_INFINITY;
    }
    if k == 0.0 || k == n {
        return 0.0;
    }
    -libm::log1p(n) - ln_beta(n - k + 1.0, k + 1.0)
}

/// Digamma ψ(x), x > 0 (Abramowitz & Stegun 6.3.5 and 6.3.18).
pub fn digamma(x: f64) -> f64 {
    let mut lifted = x;
    let mut carried = 0.0;
    while lifted < FAR {
        carried -= 1.0 / lifted;
        lifted += 1.0;
    }
    carried + libm::log(lifted) - digamma_tail(lifted)
}

/// From here upward the asymptotic series of ψ and ψ′ are exact to a double.
const FAR: f64 = 12.0;

/// ln x − ψ(x) for x of 12 and more.
fn digamma_tail(x: f64) -> f64 {
    let square = 1.0 / (x * x);
    let terms = [
        1.0 / 12.0,
        -1.0 / 120.0,
        1.0 / 252.0,
        -1.0 / 240.0,
        1.0 / 132.0,
    ]
    .iter()
    .rev()
    .fold(-691.0 / 32_760.0, |sum, term| sum * square + term);
    0.5 / x + terms * square
}

/// ψ(x + by) − ψ(x), which keeps its digits when `by` is small against x.
pub(crate) fn digamma_rise(x: f64, by: f64) -> f64 {
    if x < FAR {
        digamma(x + by) - digamma(x)
    } else {
        libm::log1p(by / x) + (digamma_tail(x) - digamma_tail(x + by))
    }
}

/// Trigamma ψ′(x), x > 0 (Abramowitz & Stegun 6.4.6 and 6.4.12).
pub fn trigamma(x: f64) -> f64 {
    let mut lifted = x;
    let mut carried = 0.0;
    while lifted < FAR {
        carried += 1.0 / (lifted * lifted);
        lifted += 1.0;
    }
    let inverse = 1.0 / lifted;
    let square = inverse * inverse;
    let terms = [1.0 / 6.0, -1.0 / 30.0, 1.0 / 42.0, -1.0 / 30.0, 5.0 / 66.0]
        .iter()
        .rev()
        .fold(-691.0 / 2730.0, |sum, term| sum * square + term);
    carried + inverse + 0.5 * square + terms * square * inverse
}

/// Both tails of the regularised incomplete beta function at `x`; `y` must be 1 − x.
///
/// a, b > 0. Passing `y` separately keeps the accuracy of a point close to one.
pub fn beta_tails(a: f64, b: f64, x: f64, y: f64) -> Tails {
    if x <= 0.0 {
        return Tails::NONE_BELOW;
    }
    if y <= 0.0 {
        return Tails::ALL_BELOW;
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return beta_lower(b, a, y, x).swapped();
    }
    beta_lower(a, b, x, y)
}

/// The side on which the continued fraction (DLMF 8.17.22) converges fast.
fn beta_lower(a: f64, b: f64, x: f64, y: f64) -> Tails {
    // x^a·y^b / (a·B(a,b)) is b/(a+b) times the binomial term.
    let leading = b / (a + b) * libm::exp(ln_binomial_term(a, b, x, y));
    if leading == 0.0 {
        return Tails::NONE_BELOW;
    }
    Tails::from_lower((leading / beta_fraction(a, b, x)).min(1.0))
}

/// The continued fraction 1 + d₁/(1 + d₂/(1 + …)) of DLMF 8.17.22, by modified Lentz.
fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    let lift = |value: f64| if value.abs() < 1e-300 { 1e-300 } else { value };
    let s = a + b;
    let (mut value, mut c, mut d) = (1.0, 1.0, 0.0);
    let mut step = |term: f64| {
        d = 1.0 / lift(1.0 + term * d);
        c = lift(1.0 + term / c);
        value *= c * d;
        (c * d - 1.0).abs() <= CONVERGED
    };
    let mut calm = step(-s * x / (a + 1.0));
    for index in 1..MOST_TERMS {
        let m = f64::from(index);
        let twice = a + 2.0 * m;
        let even = step(m * (b - m) * x / ((twice - 1.0) * twice));
        let odd = step(-(a + m) * (s + m) * x / (twice * (twice + 1.0)));
        if calm && even && odd {
            break;
        }
        calm = even && odd;
    }
    value
}

/// Regularised incomplete beta function I_x(a, b).
pub fn beta_inc(a: f64, b: f64, x: f64) -> f64 {
    beta_tails(a, b, x, 1.0 - x).lower
}

/// The point below which a Beta(a, b) variable falls with chance `p`.
pub fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    if p <= 0.0 {
        return 0.0;
    }
    if p >= 1.0 {
        return 1.0;
    }
    logistic(beta_logit_quantile(a, b, Tails::from_lower(p)))
}

/// The quantile of Beta(a, b) as a logit ln(x/(1−x)), which tells 1 − 10⁻³⁰ from one.
pub fn beta_logit_quantile(a: f64, b: f64, at: Tails) -> f64 {
    beta_logit_quantile_from(a, b, at, libm::log(a / b))
}

/// The same, sought from a logit thought to be near.
pub fn beta_logit_quantile_from(a: f64, b: f64, at: Tails, near: f64) -> f64 {
    let reach = 745.0;
    solve_tail(at, near, -reach, reach, |logit| {
        let (x, y) = (logistic(logit), logistic(-logit));
        let density = a / (a + b) * b * libm::exp(ln_binomial_term(a, b, x, y));
        (beta_tails(a, b, x, y), density)
    })
}

/// 1/(1 + e^−t).
pub fn logistic(t: f64) -> f64 {
    if t >= 0.0 {
        1.0 / (1.0 + libm::exp(-t))
    } else {
        let e = libm::exp(t);
        e / (1.0 + e)
    }
}

/// Finds where a distribution has the tails `at`, by Newton's method on the logarithm of the
/// smaller tail, kept inside a shrinking bracket.
///
/// `look` gives the tails and the density per unit of the variable searched.
fn solve_tail(
    at: Tails,
    start: f64,
    mut low: f64,
    mut high: f64,
    look: impl Fn(f64) -> (Tails, f64),
) -> f64 {
    let by_lower = at.lower <= at.upper;
    let mut place = start.clamp(low, high);
    for _ in 0..200 {
        let (tails, density) = look(place);
        let (tail, goal) = if by_lower {
            (tails.lower, at.lower)
        } else {
            (tails.upper, at.upper)
        };
        if tail == goal {
            return place;
        }
        // The lower tail grows with the place, the upper one shrinks.
        if (tail < goal) == by_lower {
            low = place;
        } else {
            high = place;
        }
        let climb = if by_lower { density } else { -density };
        let newton = place - libm::log(tail / goal) * tail / climb;
        let next = if newton > low && newton < high {
            newton
        } else {
            low + 0.5 * (high - low)
        };
        if (next - place).abs() <= 4.0 * f64::EPSILON * place.abs().max(1e-3) {
            return next;
        }
        place = next;
    }
    place
}

/// Both tails of the regularised incomplete gamma function at x; a > 0.
///
/// Series below a + 1 (DLMF 8.11.4), continued fraction above (DLMF 8.9.2).
pub fn gamma_tails(a: f64, x: f64) -> Tails {
    if x <= 0.0 {
        return Tails::NONE_BELOW;
    }
    if x == f64::INFINITY {
        return Tails::ALL_BELOW;
    }
    // x^a·e^−x / Γ(a+1), by the same saddle-point form as the binomial term.
    let leading =
        libm::exp(-stirling_error(a) - deviance(a, x) - HALF_LN_TWO_PI - 0.5 * libm::log(a));
    if x < a + 1.0 {
        Tails::from_lower((leading * gamma_series(a, x)).min(1.0))
    } else {
        Tails::from_upper((leading * a * gamma_fraction(a, x)).min(1.0))
    }
}

fn gamma_series(a: f64, x: f64) -> f64 {
    let (mut sum, mut term) = (1.0, 1.0);
    for index in 1..MOST_TERMS {
        term *= x / (a + f64::from(index));
        sum += term;
        if term < sum * CONVERGED {
            break;
        }
    }
    sum
}

fn gamma_fraction(a: f64, x: f64) -> f64 {
    let lift = |value: f64| if value.abs() < 1e-300 { 1e-300 } else { value };
    let mut b = x + 1.0 - a;
    let mut c = 1e300;
    let mut d = 1.0 / lift(b);
    let mut value = d;
    for index in 1..MOST_TERMS {
        let i = f64::from(index);
        let term = -i * (i - a);
        b += 2.0;
        d = 1.0 / lift(term * d + b);
        c = lift(b + term / c);
        value *= c * d;
        if (c * d - 1.0).abs() <= CONVERGED {
            break;
        }
    }
    value
}

/// Regularised lower incomplete gamma function P(a, x).
pub fn gamma_inc(a: f64, x: f64) -> f64 {
    gamma_tails(a, x).lower
}

/// The point below which a Gamma(shape a, scale 1) variable falls with chance `p`.
pub fn gamma_quantile(a: f64, p: f64) -> f64 {
    if p <= 0.0 {
        return 0.0;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    let log = solve_tail(Tails::from_lower(p), libm::log(a), -745.0, 709.0, |log| {
        let x = libm::exp(log);
        let leading = -stirling_error(a) - deviance(a, x) - HALF_LN_TWO_PI - 0.5 * libm::log(a);
        (gamma_tails(a, x), a * libm::exp(leading))
    });
    libm::exp(log)
}

/// Lower tail of chi-square with `df` degrees of freedom.
pub fn chi_square_cdf(df: f64, x: f64) -> f64 {
    gamma_inc(0.5 * df, 0.5 * x)
}

/// The point below which a chi-square variable with `df` degrees of freedom falls with chance `p`.
pub fn chi_square_quantile(df: f64, p: f64) -> f64 {
    2.0 * gamma_quantile(0.5 * df, p)
}

/// Density of the standard normal.
pub fn normal_density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z - HALF_LN_TWO_PI)
}

/// Lower tail Φ(z) of the standard normal.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// Upper tail 1 − Φ(z), accurate however far out.
pub fn normal_tail(z: f64) -> f64 {
    normal_cdf(-z)
}

/// The standard normal quantile (Wichura 1988, algorithm AS 241, PPND16: about 1 part in 10¹⁶).
pub fn normal_quantile(p: f64) -> f64 {
    if p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * ratio(&CENTRE_TOP, &CENTRE_BOTTOM, r);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let r = libm::sqrt(-libm::log(tail));
    let size = if r <= 5.0 {
        ratio(&MIDDLE_TOP, &MIDDLE_BOTTOM, r - 1.6)
    } else {
        ratio(&FAR_TOP, &FAR_BOTTOM, r - 5.0)
    };
    if q < 0.0 { -size } else { size }
}

fn ratio(top: &[f64], bottom: &[f64], r: f64) -> f64 {
    let horner = |terms: &[f64]| terms.iter().rev().fold(0.0, |sum, term| sum * r + term);
    horner(top) / horner(bottom)
}

// The coefficients of AS 241, lowest power first.
const CENTRE_TOP: [f64; 8] = [
    3.387_132_872_796_366_5,
    1.331_416_678_917_843_8e2,
    1.971_590_950_306_551_4e3,
    1.373_169_376_550_946e4,
    4.592_195_393_154_987e4,
    6.726_577_092_700_87e4,
    3.343_057_558_358_813e4,
    2.509_080_928_730_122_7e3,
];
const CENTRE_BOTTOM: [f64; 8] = [
    1.0,
    4.231_333_070_160_091e1,
    6.871_870_074_920_579e2,
    5.394_196_021_424_751e3,
    2.121_379_430_158_659_7e4,
    3.930_789_580_009_271e4,
    2.872_908_573_572_194_3e4,
    5.226_495_278_852_545e3,
];
const MIDDLE_TOP: [f64; 8] = [
    1.423_437_110_749_683_6,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    2.417_807_251_774_506e-1,
    2.272_384_498_926_918_4e-2,
    7.745_450_142_783_414e-4,
];
const MIDDLE_BOTTOM: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    6.897_673_349_851e-1,
    1.481_039_764_274_800_8e-1,
    1.519_866_656_361_645_7e-2,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const FAR_TOP: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    2.965_605_718_285_048_7e-1,
    2.653_218_952_657_612_4e-2,
    1.242_660_947_388_078_4e-3,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const FAR_BOTTOM: [f64; 8] = [
    1.0,
    5.998_322_065_558_88e-1,
    1.369_298_809_227_358e-1,
    1.487_536_129_085_061_5e-2,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

/// Both tails of Student's t with `df` degrees of freedom.
pub fn student_t_tails(df: f64, t: f64) -> Tails {
    let square = t * t;
    if square == f64::INFINITY {
        return if t > 0.0 {
            Tails::ALL_BELOW
        } else {
            Tails::NONE_BELOW
        };
    }
    let (x, y) = (df / (df + square), square / (df + square));
    let outside = Tails::from_upper(0.5 * beta_tails(0.5 * df, 0.5, x, y).lower);
    if t >= 0.0 { outside } else { outside.swapped() }
}

/// Lower tail of Student's t with `df` degrees of freedom.
pub fn student_t_cdf(df: f64, t: f64) -> f64 {
    student_t_tails(df, t).lower
}

/// The point below which Student's t with `df` degrees of freedom falls with chance `p`.
pub fn student_t_quantile(df: f64, p: f64) -> f64 {
    if p == 0.5 {
        return 0.0;
    }
    if p <= 0.0 || p >= 1.0 {
        return if p <= 0.0 {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        };
    }
    let upper = if p < 0.5 { p } else { 1.0 - p };
    let ln_peak = -ln_beta(0.5 * df, 0.5) - 0.5 * libm::log(df);
    let start = libm::log(normal_quantile(1.0 - upper).max(1e-12));
    let log = solve_tail(Tails::from_upper(upper), start, -745.0, 354.0, |log| {
        let t = libm::exp(log);
        let ln_density = ln_peak - 0.5 * (df + 1.0) * libm::log1p(t * t / df);
        (student_t_tails(df, t), t * libm::exp(ln_density))
    });
    if p < 0.5 {
        -libm::exp(log)
    } else {
        libm::exp(log)
    }
}

//! Blocks on a terminal: aligned columns, blank lines, little else.

use crate::block::{Align, Block, Cell, Role, Row, Table, Value};

/// Space between two columns.
const GAP: usize = 2;

/// Narrowest that a column of words is cut to.
const NARROWEST: usize = 8;

/// Renders blocks as text of a width in characters, with colour where it is wanted.
pub fn render(blocks: &[Block], colour: bool, width: usize) -> String {
    let mut paper = Paper {
        text: String::new(),
        colour,
        width: width.max(40),
    };
    let labels = label_width(blocks);
    for (at, block) in blocks.iter().enumerate() {
        match block {
            Block::Heading(words) => paper.heading(words, at == 0),
            Block::Fact { label, value, note } => paper.fact(label, value, note, labels),
            Block::Note(words) => paper.wrapped(words, Role::Plain, ""),
            Block::Warning(words) => paper.wrapped(words, Role::Warning, "! "),
            Block::Table(table) => paper.table(table),
        }
    }
    paper.text
}

/// Characters as a terminal counts them, near enough: one each.
fn length(text: &str) -> usize {
    text.chars().count()
}

fn label_width(blocks: &[Block]) -> usize {
    let labels = blocks.iter().filter_map(|block| match block {
        Block::Fact { label, .. } => Some(length(label)),
        _ => None,
    });
    labels.max().unwrap_or(0).min(36)
}

struct Paper {
    text: String,
    colour: bool,
    width: usize,
}

impl Paper {
    fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// Text in the dress of its role; plain without colour.
    fn dressed(&self, text: &str, role: Role) -> String {
        let code = match role {
            Role::Strong | Role::Total => "1",
            Role::Soft => "2",
            Role::Warning => "33",
            Role::Plain => "",
        };
        if code.is_empty() || !self.colour || text.trim().is_empty() {
            return text.to_owned();
        }
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }

    fn heading(&mut self, words: &str, first: bool) {
        if !first {
            self.line("");
        }
        let words = self.dressed(&clean(words), Role::Strong);
        self.line(&words);
    }

    fn fact(&mut self, label: &str, value: &Cell, note: &str, labels: usize) {
        let label = format!("  {:<labels$}  ", clean(label));
        let value = clean(&value.value.show());
        let used = length(&label) + length(&value) + 2;
        let dressed = self.dressed(&value, Role::Strong);
        if note.is_empty() {
            return self.line(&format!("{label}{dressed}"));
        }
        let mut notes = wrap(note, self.width.saturating_sub(used).max(24)).into_iter();
        let first = self.dressed(&notes.next().unwrap_or_default(), Role::Soft);
        self.line(&format!("{label}{dressed}  {first}"));
        for more in notes {
            let more = self.dressed(&more, Role::Soft);
            self.line(&format!("{}{more}", " ".repeat(used)));
        }
    }

    fn wrapped(&mut self, words: &str, role: Role, mark: &str) {
        let inner = self.width.saturating_sub(2 + length(mark));
        for (at, line) in wrap(words, inner).into_iter().enumerate() {
            let mark = if at == 0 {
                mark.to_owned()
            } else {
                " ".repeat(length(mark))
            };
            let line = self.dressed(&format!("{mark}{line}"), role);
            self.line(&format!("  {line}"));
        }
    }

    fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let texts: Vec<Vec<String>> = table.rows.iter().map(row_texts).collect();
        let widths = self.widths(table, &texts);
        let headings: Vec<String> = (0..table.columns.len())
            .map(|at| heading_of(table, at))
            .collect();
        let dressed = |text: String, _: usize| self.dressed(&text, Role::Soft);
        let line = laid_out(table, &headings, &widths, dressed);
        self.line(&format!("  {line}"));
        for (row, texts) in table.rows.iter().zip(&texts) {
            let dress = |text: String, at: usize| {
                let role = row.cells.get(at).map_or(Role::Plain, |cell| cell.role);
                self.dressed(&text, if role == Role::Plain { row.role } else { role })
            };
            let line = laid_out(table, texts, &widths, dress);
            self.line(&format!("  {line}"));
        }
    }

    /// Widths that hold every cell; columns of words give way when the line is too long.
    fn widths(&self, table: &Table, texts: &[Vec<String>]) -> Vec<usize> {
        let of = |at: usize| {
            let cells = texts
                .iter()
                .map(|row| row.get(at).map_or(0, |text| length(text)));
            cells.max().unwrap_or(0).max(length(&heading_of(table, at)))
        };
        let mut widths: Vec<usize> = (0..table.columns.len()).map(of).collect();
        let spare = self
            .width
            .saturating_sub(2 + GAP * widths.len().saturating_sub(1));
        let is_words = |at: usize| {
            let texts = |row: &Row| {
                matches!(
                    row.cells.get(at).map(|cell| &cell.value),
                    Some(Value::Text(_))
                )
            };
            table.columns[at].align == Align::Left && table.rows.iter().any(texts)
        };
        // The first column names the row and gives way last.
        let give: Vec<usize> = (1..widths.len()).filter(|&at| is_words(at)).collect();
        shrink(&mut widths, &give, spare);
        shrink(&mut widths, &[0], spare);
        widths
    }
}

/// Takes from the widest of some columns until all fit, or none of them can give more.
fn shrink(widths: &mut [usize], give: &[usize], spare: usize) {
    while widths.iter().sum::<usize>() > spare {
        match give.iter().copied().max_by_key(|&at| widths[at]) {
            Some(at) if widths[at] > NARROWEST => widths[at] -= 1,
            _ => break,
        }
    }
}

/// A no-break space is for pages; a terminal shows it oddly. What would steer the terminal or turn
/// the direction of the rest of the line goes too.
pub fn clean(text: &str) -> String {
    text.replace('\u{a0}', " ").replace(steers, " ")
}

fn steers(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn row_texts(row: &Row) -> Vec<String> {
    row.cells
        .iter()
        .map(|cell| clean(&cell.value.show()))
        .collect()
}

fn heading_of(table: &Table, at: usize) -> String {
    let title = &table.columns[at].title;
    match table.unit_of(at) {
        "" => clean(title),
        unit => clean(&format!("{title}, {unit}")),
    }
}

fn laid_out(
    table: &Table,
    texts: &[String],
    widths: &[usize],
    dress: impl Fn(String, usize) -> String,
) -> String {
    let mut line = String::new();
    for (at, (column, &width)) in table.columns.iter().zip(widths).enumerate() {
        let text = cut(texts.get(at).map_or("", String::as_str), width);
        let padding = " ".repeat(width - length(&text));
        if at > 0 {
            line.push_str(&" ".repeat(GAP));
        }
        match column.align {
            Align::Left => {
                line.push_str(&dress(text, at));
                line.push_str(&padding);
            }
            Align::Right => {
                line.push_str(&padding);
                line.push_str(&dress(text, at));
            }
        }
    }
    line
}

fn cut(text: &str, width: usize) -> String {
    if length(text) <= width {
        return text.to_owned();
    }
    let kept: String = text.chars().take(width.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// Words in lines of at most a width; a longer word stands alone.
fn wrap(words: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in clean(words).split_whitespace() {
        if !line.is_empty() && length(&line) + 1 + length(word) > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::Column;

    fn table() -> Table {
        let mut table = Table::new(
            "t",
            [Column::words("item"), Column::numbers("to buy", "kg")],
        );
        table.push(["ash plank".into(), 5435.0.into()]);
        table.push(["oil".into(), Cell::from(7.5).role(Role::Warning)]);
        table
    }

    #[test]
    fn numbers_stand_to_the_right() {
        let text = render(&[Block::Table(table())], false, 80);
        assert_eq!(
            text,
            "  item       to buy, kg\n  ash plank       5,435\n  oil               7.5\n"
        );
    }

    #[test]
    fn colour_changes_no_letter() {
        let blocks = [
            Block::Heading("Stock".into()),
            Block::Table(table()),
            Block::Warning("late".into()),
        ];
        let coloured = render(&blocks, true, 80);
        assert!(coloured.contains("\u{1b}[33m7.5\u{1b}[0m"));
        let mut plain = String::new();
        let mut rest = coloured.as_str();
        while let Some(at) = rest.find('\u{1b}') {
            plain.push_str(&rest[..at]);
            rest = &rest[at + rest[at..].find('m').unwrap() + 1..];
        }
        plain.push_str(rest);
        assert_eq!(plain, render(&blocks, false, 80));
    }

    #[test]
    fn long_words_give_way_to_the_width() {
        let mut table = Table::new("t", [Column::words("item"), Column::numbers("n", "")]);
        table.push([
            "a very long name of an item that nobody would write in earnest".into(),
            1.0.into(),
        ]);
        let text = render(&[Block::Table(table)], false, 40);
        assert!(
            text.lines().all(|line| line.chars().count() <= 40),
            "{text}"
        );
        assert!(text.contains('…') && text.contains(" 1\n"));
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        let blocks = [
            Block::Heading("h\u{1b}".into()),
            Block::fact("x\u{1b}", Value::text("a\u{1b}[31mb\u{202e}"), "c\u{7}d"),
        ];
        assert!(!render(&blocks, false, 80).contains(['\u{1b}', '\u{7}', '\u{202e}']));
    }
}

//! The neutral answer: pieces that say what they are, not how they look.
//!
//! A report is a list of [`Block`]s. The terminal ([`crate::text`]), the page and the workbook each
//! render the same [`Table`]s their own way: a [`Value`] keeps the number, not only its text.

use jiff::civil::Date;
use planning::NodeId;
use serde::Serialize;

/// What a piece of a report is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Nothing in particular.
    #[default]
    Plain,
    /// What matters most.
    Strong,
    /// What stands back.
    Soft,
    /// What needs attention.
    Warning,
    /// A sum.
    Total,
}

/// What stands in a cell, as a number where it is one.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Value {
    /// Nothing, because there is nothing to say.
    None,
    /// Words.
    Text(String),
    /// A number; the unit stands in the heading or in another column.
    Number(f64),
    /// A number with a unit of its own.
    Amount(f64, String),
    /// Money in a currency.
    Money(f64, String),
    /// A share, 1 = all.
    Share(f64),
    /// A day.
    Date(Date),
}

impl Value {
    /// Words.
    pub fn text(words: impl Into<String>) -> Self {
        Self::Text(words.into())
    }

    /// Whether it is read as a number, and so stands to the right.
    pub fn is_numeric(&self) -> bool {
        matches!(
            self,
            Self::Number(_) | Self::Amount(..) | Self::Money(..) | Self::Share(_)
        )
    }

    /// As people read it.
    pub fn show(&self) -> String {
        match self {
            Self::None => String::new(),
            Self::Text(words) => words.clone(),
            Self::Amount(number, unit) => {
                format!("{}\u{a0}{unit}", planning::reason::number(*number))
            }
            Self::Money(amount, currency) if amount.is_finite() => {
                quantity::show_money(*amount, currency)
            }
            Self::Share(share) if share.is_finite() => share_of(*share),
            Self::Number(number) | Self::Money(number, _) | Self::Share(number) => {
                planning::reason::number(*number)
            }
            Self::Date(day) => day.to_string(),
        }
    }
}

/// A share in per cent with three figures; one decimal is all that an engineer reads.
fn share_of(share: f64) -> String {
    let percent = (share * 1000.0).round() / 10.0;
    let near_all = share < 1.0 && percent >= 100.0;
    let near_none = share > 0.0 && percent <= 0.0;
    let shown = if near_all || near_none {
        share
    } else {
        percent / 100.0
    };
    quantity::show_share(shown).replace(' ', "\u{a0}")
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cell {
    /// What stands in it.
    pub value: Value,
    /// What it is for.
    pub role: Role,
    /// The node of the ledger that its reasons begin with.
    pub why: Option<NodeId>,
}

impl Cell {
    /// The same cell in a role.
    #[must_use]
    pub fn role(mut self, role: Role) -> Self {
        self.role = role;
        self
    }

    /// The same cell, marked as needing attention when a condition holds.
    #[must_use]
    pub fn warn_if(self, condition: bool) -> Self {
        if condition {
            self.role(Role::Warning)
        } else {
            self
        }
    }

    /// The same cell with its reasons.
    #[must_use]
    pub fn why(mut self, node: NodeId) -> Self {
        self.why = Some(node);
        self
    }
}

impl From<Value> for Cell {
    fn from(value: Value) -> Self {
        Self {
            value,
            role: Role::Plain,
            why: None,
        }
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Value::text(words).into()
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Value::Text(words).into()
    }
}

impl From<f64> for Cell {
    fn from(number: f64) -> Self {
        Value::Number(number).into()
    }
}

impl From<Date> for Cell {
    fn from(day: Date) -> Self {
        Value::Date(day).into()
    }
}

impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(cell: Option<T>) -> Self {
        cell.map_or_else(|| Value::None.into(), Into::into)
    }
}

/// Which side a column keeps to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Column {
    /// Its heading.
    pub title: String,
    /// The unit of all its numbers; may be empty.
    pub unit: String,
    /// Which side it keeps to.
    pub align: Align,
}

impl Column {
    /// A column of words.
    pub fn words(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            unit: String::new(),
            align: Align::Left,
        }
    }

    /// A column of numbers.
    pub fn numbers(title: &str, unit: &str) -> Self {
        Self {
            title: title.to_owned(),
            unit: unit.to_owned(),
            align: Align::Right,
        }
    }
}

/// A row.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    /// Its cells, one for each column.
    pub cells: Vec<Cell>,
    /// What the row is for.
    pub role: Role,
}

impl Row {
    /// A row of cells.
    pub fn of(cells: impl IntoIterator<Item = Cell>) -> Self {
        Self {
            cells: cells.into_iter().collect(),
            role: Role::Plain,
        }
    }

    /// The same row in a role.
    #[must_use]
    pub fn role(mut self, role: Role) -> Self {
        self.role = role;
        self
    }
}

/// A table that every renderer shows its own way.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Table {
    /// What it shows, in a few words.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
}

impl Table {
    /// An empty table.
    pub fn new(caption: impl Into<String>, columns: impl IntoIterator<Item = Column>) -> Self {
        Self {
            caption: caption.into(),
            columns: columns.into_iter().collect(),
            rows: Vec::new(),
        }
    }

    /// The unit of a column where its cells do not say it themselves, as money does.
    pub fn unit_of(&self, at: usize) -> &str {
        let is_money = |row: &Row| {
            matches!(
                row.cells.get(at).map(|cell| &cell.value),
                Some(Value::Money(..))
            )
        };
        match self.columns.get(at) {
            Some(column) if !self.rows.iter().any(is_money) => &column.unit,
            _ => "",
        }
    }

    /// Adds a row.
    pub fn push(&mut self, cells: impl IntoIterator<Item = Cell>) {
        self.rows.push(Row::of(cells));
    }

    /// The same table with at most so many rows, and how many were left out.
    #[must_use]
    pub fn first(mut self, most: usize) -> (Self, usize) {
        let left_out = self.rows.len().saturating_sub(most);
        self.rows.truncate(most);
        (self, left_out)
    }

    /// The same table with the columns of these positions only, in this order.
    #[must_use]
    pub fn only(mut self, columns: &[usize]) -> Self {
        let pick = |at: &usize| self.columns.get(*at).cloned();
        self.columns = columns.iter().filter_map(pick).collect();
        for row in &mut self.rows {
            let cells = columns.iter().filter_map(|at| row.cells.get(*at).cloned());
            row.cells = cells.collect();
        }
        self
    }
}

/// A piece of a report.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A label with its value and a remark, which may be empty.
    Fact {
        /// What it is.
        label: String,
        /// Its value.
        value: Cell,
        /// A remark; may be empty.
        note: String,
    },
    /// A plain sentence.
    Note(String),
    /// A sentence that needs attention.
    Warning(String),
    /// A table.
    Table(Table),
}

impl Block {
    /// A label with its value.
    pub fn fact(label: &str, value: impl Into<Cell>, note: impl Into<String>) -> Self {
        Self::Fact {
            label: label.to_owned(),
            value: value.into(),
            note: note.into(),
        }
    }
}

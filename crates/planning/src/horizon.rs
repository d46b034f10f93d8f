//! The horizon of a plan and the orders that fall into it.

use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;
use works::Works;

use crate::flow::{Wanted, WantedFor};

/// The days a plan covers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Horizon {
    /// First day.
    pub from: Date,
    /// Last day.
    pub until: Date,
    /// Orders due until the last day, those overdue among them: indices in the works.
    pub orders: Vec<usize>,
}

/// Days of a horizon that neither the works nor its orders say the end of.
const DAYS: i64 = 28;

impl Horizon {
    /// The horizon of a works. What is asked for goes before what the works states; failing both, it
    /// begins today, or with the first release when every order has a later one, and ends with the
    /// last due date. An order book that ended before today is planned as it stands, from its first
    /// day on.
    pub fn new(works: &Works, today: Date, from: Option<Date>, until: Option<Date>) -> Self {
        let last_due = works.orders.iter().map(|order| order.due).max();
        let until = until.or(works.assumptions.until).or(last_due);
        let from = from
            .or(works.assumptions.from)
            .unwrap_or_else(|| first_day(works, today, until));
        let four_weeks = || from.checked_add((DAYS - 1).days()).unwrap_or(from);
        let until = until.unwrap_or_else(four_weeks).max(from);
        let orders = works.orders.iter().enumerate();
        let orders = orders
            .filter(|(_, order)| order.due <= until)
            .map(|(index, _)| index)
            .collect();
        Self {
            from,
            until,
            orders,
        }
    }

    /// What the orders ask for.
    pub fn wanted(&self, works: &Works) -> Vec<Wanted> {
        let orders = self
            .orders
            .iter()
            .map(|&index| (index, &works.orders[index]));
        orders
            .map(|(index, order)| Wanted {
                item: order.item,
                amount: order.quantity.mean(),
                source: WantedFor::Order(index),
            })
            .collect()
    }
}

fn first_day(works: &Works, today: Date, until: Option<Date>) -> Date {
    let orders = works.orders.iter();
    if until.is_some_and(|until| until < today) {
        let first = orders.map(|order| order.release.unwrap_or(order.due)).min();
        return first.unwrap_or(today);
    }
    let first = orders.map(|order| order.release.unwrap_or(today)).min();
    first.map_or(today, |first| first.max(today))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::*;

    fn works(dues: &[&str]) -> Works {
        let mut build = Build::new();
        let item = build.bought("pin", count("each"), 1.0);
        for due in dues {
            build.order(item, 1.0, due);
        }
        build.finish()
    }

    #[test]
    fn from_today_to_the_last_due_date() {
        let works = works(&["2026-12-14", "2027-01-20", "2026-11-01"]);
        let horizon = Horizon::new(&works, day("2026-11-25"), None, None);
        assert_eq!(
            (horizon.from, horizon.until),
            (day("2026-11-25"), day("2027-01-20"))
        );
        assert_eq!(horizon.orders, [0, 1, 2]);
        let short = Horizon::new(&works, day("2026-11-25"), None, Some(day("2026-12-31")));
        assert_eq!(short.orders, [0, 2]);
    }

    #[test]
    fn an_old_order_book_is_planned_as_it_stands() {
        let works = works(&["2026-12-14", "2027-01-20"]);
        let horizon = Horizon::new(&works, day("2030-01-01"), None, None);
        assert_eq!(
            (horizon.from, horizon.until),
            (day("2026-12-14"), day("2027-01-20"))
        );
    }

    #[test]
    fn without_orders_four_weeks() {
        let horizon = Horizon::new(&works(&[]), day("2026-11-25"), None, None);
        assert_eq!(horizon.until, day("2026-12-22"));
    }
}

//! What the shop's page of sizes to measure next shows. Must not know a template, nor what makes a size worth measuring.

use serde::Serialize;

use super::index_view::GuideLink;
use super::pages::Book;
use crate::guide::MeasureRow;

#[derive(Serialize)]
pub(super) struct MeasuringView<'a> {
    rows: Vec<RowView<'a>>,
}

#[derive(Serialize)]
struct RowView<'a> {
    part: &'a str,
    href: Option<String>,
    dim: &'a str,
    written: &'a str,
    range: &'a str,
    settles: Vec<GuideLink<'a>>,
    may_settle: Vec<GuideLink<'a>>,
    /// Settled guides that lean on it.
    behind: usize,
}

impl<'a> MeasuringView<'a> {
    pub fn of(book: &'a Book<'a>) -> MeasuringView<'a> {
        MeasuringView { rows: book.input.measuring.iter().map(|row| RowView::of(book, row)).collect() }
    }
}

impl<'a> RowView<'a> {
    fn of(book: &'a Book<'a>, row: &'a MeasureRow) -> RowView<'a> {
        let guides = |ids: &'a [(String, String)]| {
            book.guides_where(|g| {
                ids.iter().any(|(fork, system)| g.fork_id == *fork && g.system_id == *system)
            })
        };
        RowView {
            part: &row.part,
            href: book.links.article(&row.part_id),
            dim: &row.dim,
            written: &row.written,
            range: &row.range,
            settles: guides(&row.settles),
            may_settle: guides(&row.may_settle),
            behind: row.behind.len(),
        }
    }
}

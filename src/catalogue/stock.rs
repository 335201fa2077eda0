//! Reads `parts/stock.csv`, as tills export it: columns in any order, prices in the till's own way. All rows or none;
//! rows about what the book does not have (a till sells tyres, too) are told and passed over. Must not know what the
//! ids stand for.

use std::collections::BTreeMap;

use super::Shop;
use super::stock_cells::{Cell, Cells, rows};
use crate::base::{FileId, Problem, Problems, Sources, Span, suggest};
use crate::kinds::about_price;
use crate::quantity::{Count, Currency, Misread, Money, read_money_loose};

/// Rows by id. An empty cell says nothing.
pub(super) type Stock = BTreeMap<String, Row>;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Row {
    pub price: Option<Money>,
    pub on_hand: Option<u32>,
}

/// Of a list that is wrong from end to end nobody reads more than the first rows.
const TOLD_ROWS: usize = 20;

/// A cell that is read for something is never longer than this, in characters.
const LONGEST_CELL: usize = 60;

pub(super) fn read_stock<T>(
    sources: &Sources,
    file: FileId,
    shop: &Shop,
    ids: &BTreeMap<String, T>,
    problems: &mut Problems,
) -> Stock {
    let text = sources.get(file).text.as_str();
    let Some(rows) = rows(file, text, "the stock list", problems) else { return Stock::new() };
    let Some((header, rows)) = rows.split_first() else {
        let problem = Problem::error("stock-header", "the stock list has no header line");
        problems.push(problem.at(Span::new(file, 0..0), "").mend("write id,price,on_hand as its first line"));
        return Stock::new();
    };
    let Some(columns) = Columns::read(header, shop.currency, problems) else { return Stock::new() };
    let mut found = Problems::default();
    let mut stock: BTreeMap<String, (Span, Row)> = BTreeMap::new();
    let mut others: Vec<&Cell> = Vec::new();
    for cells in rows {
        let Some(id) = read_id(&columns, cells, &mut found) else { continue };
        if !ids.contains_key(&id.text) {
            others.push(id);
        } else if let Some(row) = read_row(&columns, cells, shop, &mut found) {
            add_row(&mut stock, id.text.clone(), id.span, row, &mut found);
        }
    }
    let none_known = stock.is_empty() && found.0.is_empty();
    tell(found, problems);
    tell_others(&others, none_known, ids, problems);
    stock.into_iter().map(|(id, (_, row))| (id, row)).collect()
}

/// The first wrong rows, and how many more there are.
fn tell(mut found: Problems, problems: &mut Problems) {
    let more = found.0.len().saturating_sub(TOLD_ROWS);
    let rest = found.0.get(TOLD_ROWS).and_then(|p| p.places.first()).map(|p| p.span);
    found.0.truncate(TOLD_ROWS);
    problems.0.extend(found.0);
    if let Some(span) = rest {
        problems.push(
            Problem::error("stock-more", format!("{more} more mistakes in the stock list are not told"))
                .at(span, "the next one")
                .mend("mend those told first: often one cause makes them all"),
        );
    }
}

/// Where the columns stand.
struct Columns {
    id: usize,
    price: Option<usize>,
    on_hand: Option<usize>,
    count: usize,
}

/// `On hand`, `on-hand` and `ON_HAND` are one name.
pub(super) fn plain_name(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

impl Columns {
    /// Columns of other names are told once, all together: tills export many.
    fn read(cells: &Cells, currency: Currency, problems: &mut Problems) -> Option<Columns> {
        let named = |name: &str| -> Vec<usize> {
            (0..cells.len()).filter(|&i| plain_name(&cells[i].text) == plain_name(name)).collect()
        };
        let prices = (0..cells.len()).filter(|&i| is_price(&cells[i].text, currency)).collect();
        let (ids, prices, counts): (_, Vec<usize>, _) = (named("id"), prices, named("on_hand"));
        for several in [&ids, &prices, &counts] {
            if let [first, second, ..] = several.as_slice() {
                problems.push(
                    Problem::error("stock-header", format!("there are two columns {}", cells[*first].text))
                        .at(cells[*second].span, "again here")
                        .at(cells[*first].span, "first here")
                        .mend("keep one of them"),
                );
                return None;
            }
        }
        let first = cells.first()?;
        let Some(&id) = ids.first() else {
            let mut problem = Problem::error("stock-header", "the stock list has no column id")
                .at(first.span, near("id", cells).map_or(String::new(), |n| format!("is it {n}?")))
                .note("expected a header line with id and price or on_hand, or both, in any order");
            if cells.len() == 1 {
                problem = problem.note("columns are parted by commas, semicolons or tabs");
            }
            problems.push(problem.mend("name the column of part and box ids id"));
            return None;
        };
        if prices.is_empty() && counts.is_empty() {
            let heads = |words: &[&str]| {
                cells.iter().map(|c| &c.text).find(|text| words.iter().any(|w| plain_name(text).contains(w)))
            };
            let meant = near("price", cells).or(near("on_hand", cells)).or(heads(&PRICES)).or(heads(&COUNTS));
            problems.push(
                Problem::error(
                    "stock-header",
                    "the stock list has neither a column price nor a column on_hand",
                )
                .at(first.span, meant.map_or(String::new(), |n| format!("is it {n}?")))
                .note("with ids alone it would say nothing")
                .mend("name the column of prices price, and that of counts on_hand"),
            );
            return None;
        }
        let read = [&ids, &prices, &counts].map(|found| found.first().copied());
        tell_unread(cells, &read, problems);
        let (price, on_hand) = (prices.first().copied(), counts.first().copied());
        Some(Columns { id, price, on_hand, count: cells.len() })
    }
}

/// `price`, also with the shop's currency: `Price EUR`, `price (€)`.
pub(super) fn is_price(text: &str, currency: Currency) -> bool {
    let sign = currency.sign().unwrap_or(currency.code());
    let bare = text.replace(sign, "").to_uppercase().replace(currency.code(), "");
    plain_name(text) == "price" || plain_name(&bare) == "price"
}

/// Whether a heading is a word for a price elsewhere.
pub(super) fn means_price(text: &str) -> bool {
    let plain = plain_name(text);
    PRICES.iter().any(|word| plain.contains(word))
}

/// Whether a heading is a word for what is on hand, here or elsewhere.
pub(super) fn means_count(text: &str) -> bool {
    let plain = plain_name(text);
    plain == plain_name("on_hand") || COUNTS.iter().any(|word| plain.contains(word))
}

/// Columns that are not read, with what they were most likely meant to be. Words of other languages for a price and for
/// what is on hand are known here so that no price is lost without a word.
fn tell_unread(cells: &Cells, read: &[Option<usize>; 3], problems: &mut Problems) {
    let unread: Vec<&Cell> = (0..cells.len())
        .filter(|i| !read.contains(&Some(*i)) && !cells[*i].text.is_empty())
        .map(|i| &cells[i])
        .collect();
    let meant = |cell: &Cell| -> Option<&'static str> {
        let near = |name: &str| suggest(&cell.text, [name]).is_some();
        match () {
            () if read[1].is_none() && (means_price(&cell.text) || near("price")) => Some("price"),
            () if read[2].is_none() && (means_count(&cell.text) || near("on_hand")) => Some("on_hand"),
            () => None,
        }
    };
    let (likely, others): (Vec<&Cell>, Vec<&Cell>) =
        unread.into_iter().partition(|cell| meant(cell).is_some());
    for cell in likely {
        let name = meant(cell).unwrap_or_default();
        problems.push(
            Problem::warning("stock-column", format!("the column {} is not read", cell.text))
                .at(cell.span, format!("{name} is meant?"))
                .mend(format!("name it {name}, or leave it if it is another thing")),
        );
    }
    let Some(first) = others.first() else { return };
    let names: Vec<&str> = others.iter().take(TOLD_ROWS).map(|cell| cell.text.as_str()).collect();
    problems.push(
        Problem::warning(
            "stock-column",
            format!("columns of the stock list that are not read: {}", names.join(", ")),
        )
        .at(first.span, "the first of them")
        .note("read are id, price and on_hand")
        .mend("nothing has to be done, unless one of them is the price or what is on hand: name it so"),
    );
}

/// How prices are headed elsewhere (common practice, no source).
const PRICES: [&str; 10] =
    ["price", "preis", "prix", "precio", "prezzo", "prijs", "pris", "cena", "hinta", "retail"];
/// And what is on hand.
const COUNTS: [&str; 9] =
    ["onhand", "stock", "bestand", "lager", "quantity", "qty", "quantité", "anzahl", "existencias"];

/// The column whose name is nearly this one.
fn near<'c>(name: &str, cells: &'c Cells) -> Option<&'c String> {
    let found = suggest(name, cells.iter().map(|c| c.text.as_str()))?;
    cells.iter().map(|c| &c.text).find(|text| *text == found)
}

/// The row's id; a row of a wrong number of cells is not looked at any further.
fn read_id<'c>(columns: &Columns, cells: &'c Cells, problems: &mut Problems) -> Option<&'c Cell> {
    if let Some(extra) = cells.iter().skip(columns.count).find(|c| !c.text.is_empty()) {
        let (there, asked) = (cells.len(), columns.count);
        problems.push(
            Problem::error("stock-row", format!("this row has {there} cells, the header {asked}"))
                .at(extra.span, "too many from here")
                .note("a comma inside a price makes two cells of it")
                .mend("put such a price in quotes: \"6,50\""),
        );
        return None;
    }
    let Some(id) = filled(cells, Some(columns.id)) else {
        let span = cells.iter().find(|c| !c.text.is_empty()).map(|c| c.span)?;
        let problem = Problem::error("stock-row", "this row of the stock list has no id");
        problems.push(problem.at(span, "").mend("fill in the id, or take the row out"));
        return None;
    };
    short_enough(&[id], problems).then_some(id)
}

fn filled(cells: &Cells, column: Option<usize>) -> Option<&Cell> {
    column.and_then(|i| cells.get(i)).filter(|c| !c.text.is_empty())
}

fn short_enough(cells: &[&Cell], problems: &mut Problems) -> bool {
    let long = cells.iter().find(|c| c.text.chars().count() > LONGEST_CELL);
    problems.0.extend(long.map(|cell| too_long(cell)));
    long.is_none()
}

fn read_row(columns: &Columns, cells: &Cells, shop: &Shop, problems: &mut Problems) -> Option<Row> {
    let (price, on_hand) = (filled(cells, columns.price), filled(cells, columns.on_hand));
    if !short_enough(&price.into_iter().chain(on_hand).collect::<Vec<_>>(), problems) {
        return None;
    }
    let price = price.map(|c| read_cell(c, problems, |t| read_money_loose(t, shop.currency)));
    let on_hand = on_hand.map(|c| read_cell(c, problems, count));
    let (price, on_hand) = (flat(price)?, flat(on_hand)?.map(|count| count.0));
    let question = price.and_then(about_price).zip(filled(cells, columns.price));
    problems.0.extend(question.map(|(question, cell)| question.problem(cell.span)));
    Some(Row { price, on_hand })
}

/// A count as tills write it: `3`, and `3,00` where they keep two decimals for what is sold by weight.
fn count(text: &str) -> Result<Count, Misread> {
    let is_mark = |c: char| matches!(c, '.' | ',');
    let whole = match text.rsplit_once(is_mark) {
        Some((whole, zeros)) if matches!(zeros, "0" | "00") && !whole.contains(is_mark) => whole,
        _ => text,
    };
    Count::read(whole).map_err(|misread| match text.strip_prefix('-').map(Count::read) {
        Some(Ok(_)) => Misread {
            at: 0..text.len(),
            fact: format!("{text} cannot be on hand"),
            expected: "a whole number from 0 to 1000000".to_string(),
            mend: "write 0 where more was sold than was there".to_string(),
            ..misread
        },
        _ => Misread { fact: format!("\"{text}\" is not a count"), at: 0..text.len(), ..misread },
    })
}

fn too_long(cell: &Cell) -> Problem {
    let begin: String = cell.text.chars().take(LONGEST_CELL / 2).collect();
    Problem::error("stock-row", format!("a cell that begins \"{begin}\" is too long to be read"))
        .at(cell.span.within(0..begin.len()), "")
        .note(format!("ids, prices and counts have at most {LONGEST_CELL} characters"))
        .mend("look whether a quote or a separator is missing before it")
}

/// An empty cell is nothing; a cell that could not be read spoils the row.
fn flat<T>(cell: Option<Option<T>>) -> Option<Option<T>> {
    match cell {
        Some(None) => None,
        Some(read) => Some(read),
        None => Some(None),
    }
}

/// Rows about what the book does not have: one that is nearly an id of the book by itself, all others together.
fn tell_others<T>(others: &[&Cell], none_known: bool, ids: &BTreeMap<String, T>, problems: &mut Problems) {
    let near = |id: &&Cell| suggest(&id.text, ids.keys().map(String::as_str));
    let slip = |id: &&Cell| !none_known && near(id).is_some();
    let (slips, strange): (Vec<&Cell>, Vec<&Cell>) = others.iter().partition(|id| slip(id));
    let mut told = Problems::default();
    for id in slips {
        let fact = format!("the book has no part or box \"{}\": the row is passed over", id.text);
        let problem = Problem::warning("stock-unknown", fact).at(id.span, "");
        told.push(match near(&id) {
            Some(near) => problem.mend(format!("write {near}, if that is meant")),
            None => problem,
        });
    }
    tell(told, problems);
    let Some(first) = strange.first() else { return };
    let count = strange.len();
    let problem = match (none_known, count) {
        (true, _) => {
            Problem::error("stock-row", "no row of the stock list is about a part or box of the book")
                .note("the column id holds the ids under which the book lists parts and boxes")
        }
        (false, 1) => {
            let fact = format!("the book has no part or box \"{}\": the row is passed over", first.text);
            Problem::warning("stock-unknown", fact)
        }
        (false, _) => {
            let fact =
                format!("{count} rows of the stock list are about what the book does not have: passed over");
            Problem::warning("stock-unknown", fact)
        }
    };
    let problem = strange.iter().take(TOLD_ROWS).fold(problem, |problem, id| problem.at(id.span, ""));
    let problem = match count.saturating_sub(TOLD_ROWS) {
        0 => problem,
        more => problem.note(format!("and {more} more rows")),
    };
    problems.push(match (none_known, near(first)) {
        (true, Some(near)) => problem.mend(format!("write {near}, or look whether another column is meant")),
        (true, None) => problem.mend("look whether another column is meant"),
        (false, _) => problem.mend("nothing has to be done; list what is missing to use it in guides"),
    });
}

fn read_cell<T>(
    cell: &Cell,
    problems: &mut Problems,
    read: impl Fn(&str) -> Result<T, crate::quantity::Misread>,
) -> Option<T> {
    match read(&cell.text) {
        Ok(value) => Some(value),
        Err(misread) => {
            problems.push(
                Problem::error("stock-row", misread.fact)
                    .at(cell.span.within(misread.at), "")
                    .note(format!("expected {}", misread.expected))
                    .mend(misread.mend),
            );
            None
        }
    }
}

fn add_row(
    rows: &mut BTreeMap<String, (Span, Row)>,
    id: String,
    span: Span,
    row: Row,
    problems: &mut Problems,
) {
    if let Some((first, _)) = rows.get(&id) {
        problems.push(
            Problem::error("stock-row", format!("the stock list has two rows for {id}"))
                .at(span, "again here")
                .at(*first, "first here")
                .mend("keep one of them"),
        );
        return;
    }
    rows.insert(id, (span, row));
}

//! Reads all of `parts/` into a [`Catalogue`]. Must not know rules.

use super::boxes::{WrittenBox, WrittenHeld, read_box};
use super::part::{ReadPart, read_part};
use super::sheet::{STOCK, is_sheet, read_sheet};
use super::stock::{Stock, read_stock};
use super::tried_reading::{Ids, WrittenTrial, add_trials, read_tried};
use super::{Catalogue, Held, OnHand, Part, PartBox, PartIx, Shop, Variant, VariantIx, doubles};
use crate::base::{
    BookFiles, Document, FileId, Problem, Problems, Sources, Span, Table, add_text, refused_id,
};
use crate::built_in::is_piece;

/// `None` when any file of `parts/` has an error in it; every error is among the problems.
pub fn read_catalogue(
    files: &BookFiles,
    shop: &Shop,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Catalogue> {
    let before = problems.errors();
    let listed: Vec<FileId> = files
        .iter()
        .filter(|(path, _)| path.starts_with("parts/") && path.ends_with(".toml") || is_sheet(path))
        .filter_map(|(path, bytes)| add_text(path, bytes, sources, problems))
        .collect();
    // What stands in a file that is no text would be told again wherever it is named.
    let unread = problems.errors() > before;
    let stock = add_stock(files, sources, problems);
    let sources = &*sources;
    let mut written = WrittenBook::default();
    let (pieces, own): (Vec<FileId>, Vec<FileId>) =
        listed.into_iter().partition(|file| is_piece(&sources.get(*file).path));
    for file in own {
        read_file(sources, file, shop, &mut written, problems);
    }
    for file in pieces {
        read_pieces(sources, file, shop, &mut written, problems);
    }
    written.report_duplicates(sources, problems);
    if written.ids.is_empty() && problems.errors() == before {
        problems.push(
            Problem::error("book-empty", "the book has no parts")
                .note("parts are listed as [[part]] in .toml files under parts/, or as rows of .csv files there")
                .mend("list a fork and the parts that go on it"),
        );
    }
    let stock = stock.map(|file| read_stock(sources, file, shop, &written.ids, problems));
    if unread {
        problems.0.retain(|p| p.code != "stock-unknown");
        written.unread = true;
    }
    let catalogue = written.catalogue(stock.as_ref(), problems);
    doubles::report(&catalogue, problems);
    doubles::report_names(&catalogue, problems);
    (problems.errors() == before).then_some(catalogue)
}

fn add_stock(files: &BookFiles, sources: &mut Sources, problems: &mut Problems) -> Option<FileId> {
    let bytes = files.get(STOCK)?;
    add_text(STOCK, bytes, sources, problems)
}

fn read_file(
    sources: &Sources,
    file: FileId,
    shop: &Shop,
    written: &mut WrittenBook,
    problems: &mut Problems,
) {
    let document = match is_sheet(&sources.get(file).path) {
        true => match read_sheet(sources, file, shop.currency, problems) {
            Some(document) => document,
            None => return,
        },
        false => Document::parse(sources, file, problems),
    };
    let root = document.root();
    let parts = root.tables("part", problems);
    let boxes = root.tables("box", problems);
    let trials = root.tables("tried", problems);
    if !document.is_broken() {
        root.finish("a parts file", &super::layouts::PARTS_FILE, problems);
    }
    let headers: Vec<Span> = parts.iter().chain(&boxes).chain(&trials).map(|t| t.span).collect();
    for table in parts {
        // What a syntax error cut off would be told a second time as missing.
        let mut unheard = Problems::default();
        let broken = document.holds_syntax_error(table.span, &headers);
        let heard = if broken { &mut unheard } else { &mut *problems };
        let id = written.list(&table, "a part", heard);
        written.parts.extend(read_part(table, id, shop, heard));
    }
    for table in boxes {
        let mut unheard = Problems::default();
        let broken = document.holds_syntax_error(table.span, &headers);
        let heard = if broken { &mut unheard } else { &mut *problems };
        let id = written.list(&table, "a box", heard);
        written.boxes.extend(read_box(table, id, shop, heard));
    }
    for table in trials {
        let mut unheard = Problems::default();
        let broken = document.holds_syntax_error(table.span, &headers);
        let heard = if broken { &mut unheard } else { &mut *problems };
        written.trials.extend(read_tried(table, heard));
    }
}

/// Built-in parts, of which those give way that the book lists itself by the same id.
fn read_pieces(
    sources: &Sources,
    file: FileId,
    shop: &Shop,
    written: &mut WrittenBook,
    problems: &mut Problems,
) {
    let document = Document::parse(sources, file, problems);
    for table in document.root().tables("part", problems) {
        let id = table.text("id", &mut Problems::default());
        if id.is_some_and(|id| written.ids.contains_key(&id.value)) {
            continue;
        }
        let id = written.list(&table, "a part", problems);
        written.parts.extend(read_part(table, id, shop, problems));
    }
}

/// Everything read so far. Ids are listed even of parts that could not be read, so that a box that holds one
/// makes no second message.
#[derive(Default)]
struct WrittenBook {
    ids: Ids,
    parts: Vec<ReadPart>,
    boxes: Vec<WrittenBox>,
    trials: Vec<WrittenTrial>,
    /// Some file could not be read at all.
    unread: bool,
}

impl WrittenBook {
    /// The id of a part or box; refused where it could not name a page.
    fn list(&mut self, table: &Table, what: &'static str, problems: &mut Problems) -> Option<String> {
        let text = table.needed_text("id", what, problems)?;
        self.ids.entry(text.value.clone()).or_default().push((text.span, what));
        let Some(refused) = refused_id(&text.value) else { return Some(text.value) };
        // Whoever names it as it will have to be spelt makes no second message.
        if let Some(name) = &refused.instead {
            self.ids.entry(name.clone()).or_default();
        }
        let mend = match refused.instead {
            Some(name) => format!("write id = \"{name}\""),
            None => "give it a name".to_string(),
        };
        problems.push(
            Problem::error("id-unsafe", format!("\"{}\" cannot be an id", shortened(&text.value)))
                .at(text.span, "")
                .note(format!("{}: ids name pages", refused.note))
                .mend(mend),
        );
        None
    }

    fn report_duplicates(&self, sources: &Sources, problems: &mut Problems) {
        for (id, places) in &self.ids {
            let Some(((first, _), others)) = places.split_first() else { continue };
            for (other, what) in others {
                let (there, here) = (&sources.get(first.file).path, &sources.get(other.file).path);
                let fact = match there == here {
                    true => format!("{what} with the id \"{id}\" is listed already"),
                    false => format!("two files are in conflict over the id \"{id}\""),
                };
                problems.push(
                    Problem::error("id-twice", fact)
                        .at(*other, "listed again here")
                        .at(*first, "first listed here")
                        .mend("give one of them another id, or take one out"),
                );
            }
        }
    }

    fn catalogue(mut self, stock: Option<&Stock>, problems: &mut Problems) -> Catalogue {
        self.parts.sort_by(|a, b| a.part.id.cmp(&b.part.id));
        self.boxes.sort_by(|a, b| a.the_box.id.cmp(&b.the_box.id));
        let mut catalogue = Catalogue::default();
        for read in std::mem::take(&mut self.parts) {
            add_part(&mut catalogue, read, stock);
        }
        for written in std::mem::take(&mut self.boxes) {
            let holds = self.held(&written, &catalogue, problems);
            let mut the_box = PartBox { holds, ..written.the_box };
            if let Some(row) = stock.and_then(|s| s.get(&the_box.id)) {
                the_box.price = row.price.or(the_box.price);
                the_box.on_hand = row.on_hand.map_or(OnHand::Unknown, OnHand::Count);
            }
            catalogue.boxes.push(the_box);
        }
        add_trials(&mut catalogue, std::mem::take(&mut self.trials), &self.ids, problems);
        catalogue
    }

    fn held(&self, written: &WrittenBox, catalogue: &Catalogue, problems: &mut Problems) -> Vec<Held> {
        let mut holds: Vec<Held> = vec![];
        for held in &written.holds {
            let id = &held.part;
            match (catalogue.find(&id.value), self.ids.get(&id.value)) {
                (Some(part), _) => {
                    let revision = revision(held, catalogue, part, problems);
                    let same = |h: &&mut Held| h.part == part && h.revision == revision;
                    match holds.iter_mut().find(same) {
                        Some(known) => known.count = known.count.saturating_add(held.count),
                        None => holds.push(Held { part, revision, count: held.count }),
                    }
                }
                (None, Some(places)) if places.iter().all(|(_, what)| *what == "a part") => {}
                (None, Some(_)) => problems.push(
                    Problem::error(
                        "part-unknown",
                        format!("\"{}\" is a box, and a box holds parts", id.value),
                    )
                    .at(id.span, "")
                    .mend("list that box's parts here"),
                ),
                (None, None) if self.unread => {}
                (None, None) => {
                    let near = crate::base::suggest(&id.value, self.ids.keys().map(String::as_str));
                    let mend = near
                        .map_or("list that part, or take it out".to_string(), |n| format!("write \"{n}\""));
                    let mend = several(&id.value, &self.ids).unwrap_or(mend);
                    problems.push(
                        Problem::error("part-unknown", format!("there is no part \"{}\"", id.value))
                            .at(id.span, format!("held by {}", written.the_box.id))
                            .note("expected the id of a part that some file under parts/ lists")
                            .mend(mend),
                    );
                }
            }
        }
        holds
    }
}

/// `2x bearing-45`, `2 bearing-45`: how many stands in a field of its own.
fn several(written: &str, ids: &Ids) -> Option<String> {
    let digits = written.find(|c: char| !c.is_ascii_digit()).filter(|&end| end > 0)?;
    let (count, rest) = written.split_at(digits);
    let id = rest.trim_start_matches([' ', 'x', 'X', '×', '*']).trim();
    let id = ids.keys().find(|known| *known == id).map(String::as_str);
    let id = id.or_else(|| {
        crate::base::suggest(
            rest.trim_start_matches([' ', 'x', 'X', '×', '*']),
            ids.keys().map(String::as_str),
        )
    })?;
    Some(format!("write {{ part = \"{id}\", count = {count} }}"))
}

/// Of a text that is far too long its beginning.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(80) {
        Some((at, _)) => format!("{}…", &text[..at]),
        None => text.to_string(),
    }
}

/// The revision that a box says it holds; of a part made in one way only, that one.
fn revision(
    held: &WrittenHeld,
    catalogue: &Catalogue,
    part: PartIx,
    problems: &mut Problems,
) -> Option<VariantIx> {
    let part = catalogue.part(part);
    let Some(said) = &held.revision else {
        return part.variants.first().copied().filter(|_| part.variants.len() == 1);
    };
    let id = |v: &VariantIx| catalogue.variant(*v).revision.as_ref().map(|r| r.id.as_str());
    let found = part.variants.iter().copied().find(|v| id(v) == Some(said.value.as_str()));
    if found.is_none() {
        let ids: Vec<&str> = part.variants.iter().filter_map(id).collect();
        let fact = format!("{} has no revision \"{}\"", part.id, said.value);
        let problem = Problem::error("held-revision-unknown", fact).at(said.span, "");
        problems.push(match (ids.as_slice(), crate::base::suggest(&said.value, ids.iter().copied())) {
            ([], _) => problem.mend("take the revision out: this part has none"),
            (_, Some(near)) => problem.mend(format!("write \"{near}\"")),
            (ids, None) => problem
                .note(format!("its revisions: {}", ids.join(", ")))
                .mend("write one of these, or leave it out where any of them may be in the box"),
        });
    }
    found
}

fn add_part(catalogue: &mut Catalogue, read: ReadPart, stock: Option<&Stock>) {
    let part_ix = PartIx(catalogue.parts.len() as u32);
    let mut part = Part { variants: vec![], ..read.part };
    for (revision, shape) in read.variants {
        part.variants.push(VariantIx(catalogue.variants.len() as u32));
        catalogue.variants.push(Variant { part: part_ix, revision, shape, changed: None });
    }
    if let Some(row) = stock.and_then(|s| s.get(&part.id)) {
        part.price = row.price.or(part.price);
        part.on_hand = row.on_hand.map_or(OnHand::Unknown, OnHand::Count);
    }
    part.loose = read.loose.unwrap_or(part.price.is_some());
    catalogue.parts.push(part);
}

//! Small books read whole: what comes of parts, revisions, boxes and stock.

use super::*;
use crate::base::{BookFiles, Problems, Sources};

const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n[materials]\nsteel = { strength = 500 }\n";
const SHIM: &str = "[[part]]\nid = \"shim-b\"\nkind = \"shim\"\nname = \"B\"\ninside = \"28.7\"\noutside = \"31.8\"\n\
                    length = \"50\"\n";

fn read(files: &[(&str, &str)]) -> (Option<Catalogue>, Problems) {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let mut book: BookFiles = files.iter().map(|(p, t)| (p.to_string(), t.as_bytes().to_vec())).collect();
    book.insert("content/shop.toml".to_string(), SHOP.as_bytes().to_vec());
    let shop = read_shop(&book, &mut sources, &mut problems).expect("a shop");
    (read_catalogue(&book, &shop, &mut sources, &mut problems), problems)
}

fn good(files: &[(&str, &str)]) -> Catalogue {
    let (catalogue, problems) = read(files);
    assert_eq!(problems, Problems::default());
    catalogue.expect("a catalogue")
}

fn facts(files: &[(&str, &str)]) -> Vec<String> {
    let (catalogue, problems) = read(files);
    assert_eq!(catalogue, None);
    problems.0.into_iter().map(|p| p.fact).collect()
}

/// The reference tells what a line left out is taken to be: written out, the shop is the same.
#[test]
fn what_the_reference_tells_of_a_setting_left_out_is_what_is_taken() {
    use crate::base::{Layout, Wanted};
    let lines = |layout: &Layout| -> String {
        let written =
            |key: &&crate::base::Key| matches!(key.need, Wanted::Else(value) if value.starts_with('"'));
        let line = |key: &crate::base::Key| match key.need {
            Wanted::Else(value) => format!("{} = {value}\n", key.name),
            _ => String::new(),
        };
        layout.keys.iter().filter(written).map(line).collect()
    };
    let shop = |text: &str| {
        let book = BookFiles::from([("content/shop.toml".to_string(), text.as_bytes().to_vec())]);
        read_shop(&book, &mut Sources::default(), &mut Problems::default()).expect("a shop")
    };
    let bare = "name = \"A\"\ncurrency = \"EUR\"\n";
    let tables: String = [&layouts::CALIPER, &layouts::ASSUMED, &layouts::BOLTS]
        .iter()
        .map(|layout| format!("{}\n{}", layout.header, lines(layout)))
        .collect();
    assert_eq!(tables.lines().count(), 13, "{tables}");
    assert_eq!(shop(&format!("{bare}{}{tables}", lines(&layouts::SHOP))), shop(bare));
}

#[test]
fn parts_of_any_file_stand_in_the_order_of_their_ids() {
    let other =
        SHIM.replace("shim-b", "shim-a").replace("\"B\"", "\"A\"").replace("length = \"", "length = \"1");
    let catalogue = good(&[("parts/a.toml", SHIM), ("parts/z/deep/b.toml", &other)]);
    let ids: Vec<&str> = catalogue.parts.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(ids, ["shim-a", "shim-b"]);
    assert_eq!(catalogue.find("shim-b"), Some(PartIx(1)));
    assert_eq!(catalogue.of_kind("shim").count(), 2);
    assert_eq!(catalogue.part_of(catalogue.parts[1].variants[0]).id, "shim-b");
}

#[test]
fn parts_alike_in_every_size_are_told_once_and_makers_tell_them_apart() {
    let again = |id: &str, more: &str| SHIM.replace("shim-b", id) + more;
    let three = format!("{SHIM}{}{}", again("shim-c", ""), again("shim-d", ""));
    let (catalogue, problems) = read(&[("parts/a.toml", &three)]);
    assert!(catalogue.is_some_and(|c| c.parts.len() == 3));
    let facts: Vec<&str> = problems.0.iter().map(|p| p.fact.as_str()).collect();
    let alike = |id: &str| format!("\"{id}\" and \"shim-b\" are alike in every size");
    assert_eq!(facts, [alike("shim-c"), alike("shim-d")]);
    good(&[("parts/a.toml", &format!("{SHIM}{}", again("shim-c", "maker = \"Oddwell\"\n")))]);
    let other = again("shim-c", "").replace("28.7", "28.7 ±0.1");
    good(&[("parts/a.toml", &format!("{SHIM}{}", other.replace("\"B\"", "\"C\"")))]);
    let (_, problems) = read(&[("parts/a.toml", &format!("{SHIM}{other}"))]);
    assert_eq!(problems.0.iter().map(|p| p.code).collect::<Vec<_>>(), ["name-twice"]);
}

#[test]
fn a_revision_repeats_only_what_differs() {
    let text = format!(
        "{SHIM}[[part.revision]]\nid = \"1\"\nsold = false\n[[part.revision]]\nid = \"2\"\ntell = \"a groove\"\nlength = \"52\"\n"
    );
    let catalogue = good(&[("parts/a.toml", &text)]);
    let length = |v: &Variant| {
        v.shape.dims.iter().find(|d| d.name == "length").map(|d| d.dimension.nominal.to_string())
    };
    let lengths: Vec<_> = catalogue.variants.iter().filter_map(length).collect();
    assert_eq!(lengths, ["50", "52"]);
    let revisions: Vec<&Revision> = catalogue.variants.iter().filter_map(|v| v.revision.as_ref()).collect();
    assert_eq!((revisions[0].sold, revisions[1].sold), (false, true));
    assert_eq!(revisions[1].tell.as_deref(), Some("a groove"));
}

#[test]
fn a_price_means_sold_loose_unless_the_part_says_no() {
    let loose = |more: &str, stock: &str| {
        let text = format!("{SHIM}{more}");
        let mut files = vec![("parts/a.toml", text.as_str())];
        if !stock.is_empty() {
            files.push(("parts/stock.csv", stock));
        }
        good(&files).parts[0].loose
    };
    assert!(!loose("", ""));
    assert!(loose("price = \"6.50\"\n", ""));
    assert!(!loose("price = \"6.50\"\nloose = false\n", ""));
    assert!(loose("loose = true\n", ""));
    assert!(loose("", "id,price\nshim-b,6.50\n"));
}

/// Columns that are not read may be told, and nothing else.
fn with_stock(stock: &str) -> Catalogue {
    let (catalogue, problems) = read(&[("parts/a.toml", SHIM), ("parts/stock.csv", stock)]);
    assert!(problems.0.iter().all(|p| p.code == "stock-column"), "{problems:?}");
    catalogue.expect("a catalogue")
}

#[test]
fn columns_that_are_not_read_are_told_and_a_price_in_another_language_by_itself() {
    let told = |header: &str| {
        let stock = format!("{header}\nshim-b,6.50,4,x\n");
        let (_, problems) = read(&[("parts/a.toml", SHIM), ("parts/stock.csv", &stock)]);
        problems.0.into_iter().map(|p| p.fact).collect::<Vec<_>>()
    };
    assert_eq!(
        told("id,preis,on_hand,EAN"),
        ["the column preis is not read", "columns of the stock list that are not read: EAN"]
    );
    assert_eq!(told("id,Price EUR,on_hand,"), Vec::<String>::new());
    assert_eq!(told("id,price (€),Bestand,"), ["the column Bestand is not read"]);
}

#[test]
fn a_stock_list_of_a_till_is_read_in_its_own_way() {
    let part = &with_stock("\u{feff}shelf;ON_HAND;price;id\r\nA3;4;6,50;shim-b\r\n\r\n").parts[0];
    assert_eq!(part.price.map(|p| p.plain()).as_deref(), Some("6.50"));
    assert_eq!(part.on_hand, OnHand::Count(4));
}

#[test]
fn tills_differ_in_marks_and_mean_the_same() {
    for stock in [
        "id,price,on_hand\nshim-b,6.50,4\n",
        "ID\tOn hand\tPrice\nshim-b\t4,00\t6,50\n",
        "sep=;\r\n\"Id\";\"Price\";\"ON-HAND\"\r\n\r\n\"shim-b\";\"€ 6,50\";\"4\"\r\n",
        "\n;;;\nname;price;on_hand;id\n\"a shim; \"\"B\"\"\nof two lines\";6,50 EUR;4.0;shim-b\n;;;\n",
        "id,price,on_hand,\nshim-b,\"6,50\",4,,,\n",
        "on_hand,id,price\r4,shim-b,EUR 6.50\r",
    ] {
        let part = &with_stock(stock).parts[0];
        assert_eq!(part.price.map(|p| p.plain()).as_deref(), Some("6.50"), "{stock:?}");
        assert_eq!(part.on_hand, OnHand::Count(4), "{stock:?}");
    }
}

#[test]
fn a_row_that_ends_early_says_nothing_of_the_rest() {
    let files = [("parts/a.toml", SHIM), ("parts/stock.csv", "id,price,on_hand\nshim-b,6.50\n")];
    let part = &good(&files).parts[0];
    assert_eq!((part.price.is_some(), part.on_hand), (true, OnHand::Unknown));
}

#[test]
fn a_list_that_is_wrong_from_end_to_end_is_told_in_few_words() {
    let rows: String = (0..500).map(|i| format!("shim-b,{i}x\n")).collect();
    let told = facts(&[("parts/a.toml", SHIM), ("parts/stock.csv", &format!("id,price\n{rows}"))]);
    assert_eq!(told.len(), 21);
    assert_eq!(told[20], "480 more mistakes in the stock list are not told");
}

#[test]
fn what_a_till_sells_besides_costs_the_list_nothing() {
    let rows: String = (0..500).map(|i| format!("tyre-{i},nine,many\n")).collect();
    let stock = format!("id,price,on_hand\n{rows}shim-b,6.50,4\n");
    let (catalogue, problems) = read(&[("parts/a.toml", SHIM), ("parts/stock.csv", &stock)]);
    assert_eq!(catalogue.unwrap().parts[0].on_hand, OnHand::Count(4));
    let facts: Vec<&str> = problems.0.iter().map(|p| p.fact.as_str()).collect();
    assert_eq!(facts, ["500 rows of the stock list are about what the book does not have: passed over"]);
}

/// A good list with bytes changed, put in, taken out or cut off: whatever comes of it is used whole or not at all.
#[test]
fn a_damaged_stock_list_is_used_whole_or_not_at_all() {
    let good = "\u{feff}id;name;price;on_hand\r\nshim-b;\"B; \"\"wide\"\"\";\"€ 1.234,50\";4\r\n";
    let marks = b"\"\"\"';,\t\r\n \0\xff\xe2-9.x";
    let mut state = 1_u64;
    let mut below = |count: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % count
    };
    let (mut used, mut refused) = (0, 0);
    for _ in 0..4_000 {
        let mut bytes = good.as_bytes().to_vec();
        for _ in 0..=below(3) {
            let (at, mark) = (below(bytes.len()), marks[below(marks.len())]);
            match below(4) {
                0 => bytes[at] = mark,
                1 => bytes.insert(at, mark),
                2 => drop(bytes.remove(at)),
                _ => bytes.truncate(at.max(1)),
            }
        }
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let book: BookFiles = [
            ("content/shop.toml", SHOP.as_bytes().to_vec()),
            ("parts/a.toml", SHIM.as_bytes().to_vec()),
            ("parts/stock.csv", bytes),
        ]
        .map(|(path, bytes)| (path.to_string(), bytes))
        .into();
        let shop = read_shop(&book, &mut sources, &mut problems).expect("a shop");
        let catalogue = read_catalogue(&book, &shop, &mut sources, &mut problems);
        assert_eq!(catalogue.is_none(), problems.any_error(), "{problems:?}");
        for place in problems.0.iter().flat_map(|p| &p.places) {
            sources.line_column(place.span);
        }
        if catalogue.is_some() { used += 1 } else { refused += 1 }
    }
    assert!(used > 200 && refused > 1_000, "{used} used, {refused} refused");
}

#[test]
fn what_the_stock_list_leaves_out_stays_as_it_was() {
    let text = format!("{SHIM}price = \"6.50\"\n");
    let part =
        &good(&[("parts/a.toml", &text), ("parts/stock.csv", "id,price,on_hand\nshim-b,,\n")]).parts[0];
    assert_eq!(part.price.map(|p| p.plain()).as_deref(), Some("6.50"));
    assert_eq!(part.on_hand, OnHand::Unknown);
}

#[test]
fn one_bad_row_of_stock_spoils_the_book_and_is_told_by_its_line() {
    let stock = "id,price\nshim-b,6.50\nshim-b,7.50\n";
    assert_eq!(
        facts(&[("parts/a.toml", SHIM), ("parts/stock.csv", stock)]),
        ["the stock list has two rows for shim-b"]
    );
}

#[test]
fn a_box_counts_what_it_holds() {
    let text = format!(
        "{SHIM}[[box]]\nid = \"box-a\"\nname = \"A\"\nprice = 149\nholds = [\"shim-b\", {{ part = \"shim-b\", count = 2 }}]\n"
    );
    let catalogue = good(&[("parts/a.toml", &text)]);
    let held = Held { part: PartIx(0), revision: Some(VariantIx(0)), count: 3 };
    assert_eq!(catalogue.boxes[0].holds, [held]);
    assert_eq!(catalogue.boxes_with(PartIx(0)).collect::<Vec<_>>(), [BoxIx(0)]);
    assert!(catalogue.boxes[0].sold);
}

#[test]
fn a_box_and_a_part_cannot_share_an_id() {
    let text = format!("{SHIM}[[box]]\nid = \"shim-b\"\nname = \"A\"\nholds = [\"shim-b\"]\n");
    assert_eq!(facts(&[("parts/a.toml", &text)]), ["a box with the id \"shim-b\" is listed already"]);
}

#[test]
fn a_box_that_holds_a_part_with_a_mistake_is_no_second_mistake() {
    let text = format!(
        "{}[[box]]\nid = \"box-a\"\nname = \"A\"\nholds = [\"shim-b\"]\n",
        SHIM.replace("\"31.8\"", "\"31.8 cm\"")
    );
    assert_eq!(facts(&[("parts/a.toml", &text)]).len(), 1);
}

#[test]
fn a_custom_part_stands_as_the_kind_it_says() {
    let text = "[[part]]\nid = \"odd\"\nkind = \"custom\"\nname = \"Odd\"\nstands_as = \"shim\"\nmaterial = \"steel\"\n\
                [[part.column]]\nname = \"body\"\n[[part.column.ring]]\nlength = 40\nbore = 28.7\noutside = 31.8\n\
                bore_surface = \"inside\"\n";
    let catalogue = good(&[("parts/a.toml", text)]);
    assert_eq!(catalogue.parts[0].kind, "shim");
    let shape = &catalogue.variants[0].shape;
    assert!(shape.has_surface("inside") && shape.features.material.as_deref() == Some("steel"));
}

#[test]
fn a_field_missing_from_every_revision_is_told_once() {
    let text = format!(
        "{}[[part.revision]]\nid = \"1\"\n[[part.revision]]\nid = \"2\"\n",
        SHIM.replace("length = \"50\"\n", "")
    );
    assert_eq!(facts(&[("parts/a.toml", &text)]), ["the shim shim-b needs length"]);
}

#[test]
fn files_of_other_folders_and_kinds_are_left_alone() {
    let catalogue = good(&[("parts/a.toml", SHIM), ("parts/notes.txt", "= ="), ("content/x.toml", "= =")]);
    assert_eq!(catalogue.parts.len(), 1);
}

//! Parts as a spreadsheet program writes them: the same parts as in TOML, with places by row and column.

use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::catalogue::{Catalogue, read_catalogue, read_shop};

const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n[materials]\nsteel = { strength = 500 }\n";

struct Read {
    catalogue: Option<Catalogue>,
    problems: Problems,
    sources: Sources,
}

fn read(files: &[(&str, &str)]) -> Read {
    let mut book: BookFiles = files.iter().map(|(p, t)| (p.to_string(), t.as_bytes().to_vec())).collect();
    book.insert("content/shop.toml".into(), SHOP.as_bytes().to_vec());
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(&book, &mut sources, &mut problems).expect("a shop");
    let catalogue = read_catalogue(&book, &shop, &mut sources, &mut problems);
    Read { catalogue, problems, sources }
}

/// All that is read of a part, without places.
fn told(files: &[(&str, &str)]) -> Vec<String> {
    let Read { catalogue, problems, .. } = read(files);
    assert_eq!(problems, Problems::default());
    let catalogue = catalogue.expect("a catalogue");
    let one = |part: &benchleaf::catalogue::Part| {
        let shape = &catalogue.variant(part.variants[0]).shape;
        let dims: Vec<String> = shape
            .dims
            .iter()
            .map(|d| format!("{} {} {}", d.name, d.dimension.least(), d.dimension.most()))
            .collect();
        format!(
            "{} {} {} {:?} {:?} {} {:?} {dims:?} {:?}",
            part.id,
            part.kind,
            part.name,
            part.maker,
            part.price.map(|price| price.plain()),
            part.loose,
            part.colours,
            shape.features.material
        )
    };
    catalogue.parts.iter().map(one).collect()
}

const TOML: &str = "
[[part]]
id = \"shim-a\"
kind = \"shim\"
name = \"Shim, wide\"
maker = \"Quayside\"
price = \"6.50\"
colours = [\"black\", \"raw\"]
material = \"steel\"
inside = \"28.65 +0.08/+0\"
outside = \"31.75\"
length = \"50 ±0.1\"

[[part]]
id = \"shim-b\"
kind = \"shim\"
name = \"Shim B\"
loose = false
inside = \"1-1/8 in ±0.002\"
outside = \"31.75 measured\"
length = \"49.95 to 50.05\"
";

#[test]
fn a_sheet_with_semicolons_and_decimal_commas_is_the_same_as_toml() {
    let sheet = "\u{feff}ID;Name;Maker;Price;Loose;Colours;Material;Inside;Outside (mm);Length\r\n\
                 shim-a;\"Shim, wide\";Quayside;6,50;;black|raw;steel;28,65 +0,08/+0;31,75;50 ±0,1\r\n\
                 shim-b;Shim B;;;no;;;1-1/8 in ±0,002;31,75 measured;49,95 to 50,05\r\n";
    assert_eq!(told(&[("parts/shims.csv", sheet)]), told(&[("parts/shims.toml", TOML)]));
}

#[test]
fn a_column_may_say_the_kind_and_a_header_the_unit() {
    let sheet = "kind,id,name,inside (in),outside,length\nShim,shim-c,C,1.13,31.75,50\n";
    let toml = "[[part]]\nid = \"shim-c\"\nkind = \"shim\"\nname = \"C\"\ninside = \"1.13 in\"\noutside = \"31.75\"\nlength = \"50\"\n";
    assert_eq!(told(&[("parts/list.csv", sheet)]), told(&[("parts/c.toml", toml)]));
}

#[test]
fn what_is_wrong_is_told_by_row_and_column() {
    let sheet = "id;name;inside;outside;length\nshim-a;A;28,65;31,75;50\nshim-b;B;wide;31,75;50\n";
    let Read { problems, sources, .. } = read(&[("parts/shims.csv", sheet)]);
    let problem = problems.0.first().expect("a problem");
    assert_eq!((problem.code, sources.line_column(problem.places[0].span)), ("size-misread", (3, 10)));
}

#[test]
fn a_column_that_is_not_understood_is_told_and_the_rest_is_read() {
    let sheet = "id;name;insied;inside;outside;length;Regal\nshim-a;A;1;28,65;31,75;50;7\n";
    let Read { problems, catalogue, .. } = read(&[("parts/shims.csv", sheet)]);
    assert!(catalogue.is_some());
    let facts: Vec<&str> = problems.0.iter().map(|p| p.fact.as_str()).collect();
    assert_eq!(facts, ["the column insied is not read", "the column Regal is not read"]);
}

#[test]
fn a_sheet_of_many_rows_is_read_in_no_time() {
    let rows: String = (0..5_000)
        .map(|n| format!("shim-{n};Shim {n};28,65;31,75;{},{:02}\n", 40 + n / 100, n % 100))
        .collect();
    let sheet = format!("id;name;inside;outside;length\n{rows}");
    let begun = std::time::Instant::now();
    assert_eq!(read(&[("parts/shims.csv", &sheet)]).catalogue.map(|c| c.parts.len()), Some(5_000));
    assert!(begun.elapsed().as_secs() < 20);
}

const REVISIONS: &str = "
[[part]]
id = \"shim-r\"
kind = \"shim\"
name = \"R\"
price = \"6.50\"
inside = \"28.65\"
outside = \"31.75\"
length = \"50\"
[[part.revision]]
id = \"1\"
sold = false
tell = \"no groove\"
[[part.revision]]
id = \"2\"
since = \"2025\"
length = \"52\"
lip_outside = \"34\"
lip_height = \"2\"
";

/// Every revision of every part, with all its sizes.
fn revisions(files: &[(&str, &str)]) -> Vec<String> {
    let Read { catalogue, problems, .. } = read(files);
    assert_eq!(problems, Problems::default());
    let catalogue = catalogue.expect("a catalogue");
    let one = |variant: &benchleaf::catalogue::Variant| {
        let dims = variant.shape.dims.iter().map(|d| format!("{} {}", d.name, d.dimension.nominal));
        format!("{:?} {:?}", variant.revision, dims.collect::<Vec<_>>())
    };
    catalogue.variants.iter().map(one).collect()
}

#[test]
fn several_rows_of_one_id_are_revisions_of_one_part() {
    let sheet = "id;revision;sold;tell;since;name;price;inside;outside;length;lip_outside;lip_height\n\
                 shim-r;1;no;no groove;;R;6,50;28,65;31,75;50;;\n\
                 shim-r;2;;;2025;;;;;52;34;2\n";
    assert_eq!(revisions(&[("parts/shims.csv", sheet)]), revisions(&[("parts/shims.toml", REVISIONS)]));
    let repeated = sheet.replace(";2025;;;;;52", ";2025;R;6,50;28,65;31,75;52");
    assert_eq!(revisions(&[("parts/shims.csv", &repeated)]), revisions(&[("parts/shims.csv", sheet)]));
}

#[test]
fn a_row_of_a_revision_that_says_another_thing_of_the_part_is_told() {
    let told = |sheet: &str| -> Vec<(String, (usize, usize))> {
        let Read { problems, sources, .. } = read(&[("parts/shims.csv", sheet)]);
        let place = |p: &benchleaf::base::Problem| sources.line_column(p.places[0].span);
        problems.0.iter().map(|p| (p.fact.clone(), place(p))).collect()
    };
    let head = "id;revision;name;inside;outside;length\n";
    assert_eq!(
        told(&format!("{head}shim-a;1;A;28;31;50\nshim-a;2;B;28;31;52\n")),
        [("name is the same for all revisions of a part".to_string(), (3, 10))]
    );
    assert_eq!(
        told(&format!("{head}shim-a;;A;28;31;50\nshim-a;2;;;;52\n")),
        [("shim-a has several rows, and the first does not say which revision it is".to_string(), (2, 1))]
    );
    assert_eq!(
        told(&format!("{head}shim-a;1;A;28;31;50\nshim-a;1;;;;52\n"))[0].0,
        "the shim shim-a has two revisions \"1\""
    );
}

//! Drawings of single parts: true to the data, each dimension at its place, nothing in the way of anything.
//! Parts are those of the demo book. Must not know fits.

use super::super::*;
use super::read::*;
use super::sample::{build, item};
use crate::assembly::*;
use crate::base::{BookFiles, Problems, Sources};
use crate::catalogue::{Catalogue, Changed, Variant, VariantIx, read_catalogue, read_shop};
use crate::kinds::Wall;
use crate::quantity::{Ends, Origin};
use roxmltree::Document;

/// Of the demo book what parts are read from.
macro_rules! files {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/", $name)))),*]
    };
}

const FILES: [(&str, &str); 13] = files![
    "content/shop.toml",
    "parts/boxes.toml",
    "parts/decks.toml",
    "parts/forks/others.toml",
    "parts/forks/slim.toml",
    "parts/forks/standard.toml",
    "parts/headset/integrated.toml",
    "parts/headset/spacers.toml",
    "parts/headset/threaded.toml",
    "parts/upper/bars.toml",
    "parts/upper/caps-and-bolts.toml",
    "parts/upper/clamps.toml",
    "parts/upper/shims.toml",
];

fn catalogue() -> Catalogue {
    catalogue_with("")
}

/// More parts than the demo book's.
fn catalogue_with(more: &str) -> Catalogue {
    let mut files: BookFiles = FILES.map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).into();
    files.insert("parts/more.toml".to_string(), more.as_bytes().to_vec());
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let shop = read_shop(&files, &mut sources, &mut problems).expect("the shop");
    read_catalogue(&files, &shop, &mut sources, &mut problems).expect("the parts")
}

fn drawn(catalogue: &Catalogue, ix: usize) -> Option<String> {
    named(catalogue, ix, "")
}

/// Each dimension's name with words before it.
fn named(catalogue: &Catalogue, ix: usize, before: &str) -> Option<String> {
    let variant = catalogue.variant(VariantIx(ix as u32));
    let dims: Vec<String> =
        variant.shape.dims.iter().map(|d| format!("{before}{} {}", d.name, d.dimension.written)).collect();
    let words = PartWords { title: "a part", description: "Dimensions:", dims: &dims };
    part(&PartInput { part: catalogue.part(variant.part), variant, words, id_prefix: "p-" })
}

/// For the golden pictures: one of each sort.
pub(super) fn pictures() -> Vec<(&'static str, String)> {
    let catalogue = catalogue();
    let names =
        [("part-clamp", "clamp"), ("part-shim", "shim"), ("part-bearing", "bearing"), ("part-bars", "bars")];
    let first = |kind: &str| {
        let all = 0..catalogue.variants.len();
        let of_kind = |&ix: &usize| catalogue.part(catalogue.variants[ix].part).kind == kind;
        all.into_iter().find(of_kind).and_then(|ix| drawn(&catalogue, ix))
    };
    names.into_iter().filter_map(|(name, kind)| Some((name, first(kind)?))).collect()
}

/// For the golden pictures: a steerer of the demo book sawn off from 255 to 160.4 mm.
pub(super) fn sawn_off() -> String {
    const FORK: &str = "id = \"fork-curlew\"";
    const LENGTH: &str = "steerer_length = \"255 ±0.2\"";
    let written = FILES.iter().find_map(|(_, text)| {
        let own = text.split("[[part]]").find(|part| part.contains(FORK))?;
        Some(format!("[[part]]{own}"))
    });
    let written = written.expect("the fork");
    assert!(written.contains(LENGTH), "{written}");
    let sawn = written.replace(FORK, "id = \"sawn\"").replace(LENGTH, "steerer_length = \"160.4 ±0.3\"");
    let mut catalogue = catalogue_with(&sawn);
    let find = |id: &str| {
        let at = catalogue.variants.iter().position(|v| catalogue.part(v.part).id == id);
        VariantIx(at.expect("a variant") as u32)
    };
    let (from, to) = (find("fork-curlew"), find("sawn"));
    catalogue.variants[to.0 as usize].changed = Some(Changed { from, system: 0, change: 0 });
    let mut sample = build(&[item("fork", "fork", 0.0, Vec::new())], &[]);
    sample.stack = alone(&sample.stack.items[0], catalogue.variant(to), to);
    sample.catalogue = catalogue;
    let mut input = sample.input();
    input.words.changed_size = "160.4 ±0.3";
    change(&input, ItemIx(0)).expect("a change")
}

/// A stack of one part, as it is made.
fn alone(like: &Placed, variant: &Variant, ix: VariantIx) -> Stack {
    let shape = &variant.shape;
    let dims = shape.dims.iter().map(|d| ItemDim {
        item: ItemIx(0),
        name: d.name.clone(),
        ends: d.ends(),
        origin: Origin::Stated,
        written: d.dimension.written.clone(),
    });
    let wall = |w: &Wall| PlacedWall {
        surface: w.surface,
        diameter: w.diameter.clone(),
        taper: w.taper,
        root: w.root.clone(),
    };
    let columns = shape.columns.iter().map(|c| {
        let segments = c.segments.iter().map(|s| {
            let (bore, outside) = (wall(&s.bore), wall(&s.outside));
            PlacedSegment { length: s.length.clone(), bore, outside }
        });
        PlacedColumn { name: c.name, start: c.start.clone(), segments: segments.collect() }
    });
    let dims: Vec<ItemDim> = dims.collect();
    let ends: Vec<Ends> = dims.iter().map(|d| d.ends).collect();
    let nominal = -shape.datum.nominal(&ends);
    let landing = Some(Value { nominal, least: nominal, most: nominal, form: None });
    let placed = Placed {
        variant: ix,
        columns: columns.collect(),
        height: shape.height.clone(),
        landing,
        ..like.clone()
    };
    let nothing = Stack {
        dims: Vec::new(),
        items: Vec::new(),
        pushed: Vec::new(),
        checks: Vec::new(),
        windows: Vec::new(),
        merged: false,
        open: Vec::new(),
    };
    Stack { dims, items: vec![placed], ..nothing }
}

#[test]
fn every_part_of_the_demo_book_has_a_drawing_with_most_of_its_dimensions() {
    let catalogue = catalogue();
    let (mut shown, mut all) = (0, 0);
    for (ix, variant) in catalogue.variants.iter().enumerate() {
        let name = &catalogue.part(variant.part).id;
        let svg = drawn(&catalogue, ix).unwrap_or_else(|| panic!("{name} has no drawing"));
        // A key of long names fills the sheet, and no more.
        for before in ["", "width of the ", "height of the narrower end of the "] {
            let svg = named(&catalogue, ix, before).unwrap_or_default();
            check_sheet(&svg);
            check_clear(&svg, name);
        }
        let doc = Document::parse(&svg).unwrap();
        let letters = with_class(&doc, "detail-letter").count();
        assert!(letters > 0, "{name}");
        (shown, all) = (shown + letters, all + variant.shape.dims.len());
    }
    assert!(10 * shown >= 8 * all, "{shown} of {all}");
}

/// Jaws over a wall touch it: their points are as far apart as the dimension says.
#[test]
fn jaws_stand_where_the_dimension_is() {
    let catalogue = catalogue();
    let mut compared = 0;
    for (ix, variant) in catalogue.variants.iter().enumerate() {
        let svg = drawn(&catalogue, ix).unwrap();
        let doc = Document::parse(&svg).unwrap();
        let ends: Vec<Ends> = variant.shape.dims.iter().map(|d| d.ends()).collect();
        let sizes: Vec<f64> = ends.iter().map(|e| e.nominal as f64 / 1e6).collect();
        let tips: Vec<(f64, f64)> =
            with_class(&doc, "jaw").map(|n| paths(n.attribute("d").unwrap())[0].0[0]).collect();
        let broken = svg.contains("data-broken");
        for pair in
            tips.windows(2).filter(|w| (w[0].1 - w[1].1).abs() < 0.002 && w[0].0 < 0.0 && w[1].0 > 0.0)
        {
            let size = pair[1].0 - pair[0].0;
            let known = sizes.iter().any(|s| (s - size).abs() < 0.01);
            assert!(known || broken, "{} has no dimension of {size}", catalogue.part(variant.part).id);
            compared += usize::from(known);
        }
    }
    assert!(compared > catalogue.variants.len(), "{compared}");
}

/// Both cuts of a part are what the data says, and are hatched the same way.
#[test]
fn both_sides_of_a_section_are_alike() {
    let catalogue = catalogue();
    let mut compared = 0;
    for ix in 0..catalogue.variants.len() {
        let svg = drawn(&catalogue, ix).unwrap();
        let doc = Document::parse(&svg).unwrap();
        let metal: Vec<Points> =
            with_class(&doc, "metal").map(|n| paths(n.attribute("d").unwrap()).remove(0).0).collect();
        let own = |left: bool| {
            metal.iter().filter(move |o| o.iter().all(|p| if left { p.0 <= 0.0 } else { p.0 >= 0.0 }))
        };
        for outline in own(true) {
            let mirrored = |o: &&Points| {
                o.iter().zip(outline).all(|(a, b)| (a.0 + b.0).abs() < 0.002 && (a.1 - b.1).abs() < 0.002)
            };
            compared += usize::from(own(false).any(|o| mirrored(&o)));
        }
        assert!(with_class(&doc, "falling").next().is_none(), "one part, one direction");
    }
    assert!(compared > catalogue.variants.len() / 2, "{compared}");
}

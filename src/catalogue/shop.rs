//! The shop's own settings, from `content/shop.toml`. Must not know parts.

use std::collections::BTreeMap;

use super::language::language;
use super::part::{filled, price};
use super::usual::read_usual;
use super::{Usual, layouts};
use crate::base::{
    BookFiles, Document, Entry, Problem, Problems, Sources, Table, Text, add_text, is_safe_name, suggest,
};
use crate::kinds::{about_caliper, about_strength, misread_problem};
use crate::quantity::{
    Caliper, Currency, Defaults, Length, Misread, Money, Nature, NutFactor, StandardClass, Strength,
    read_length,
};

const PATH: &str = "content/shop.toml";
const FILE: &str = "the shop's file";

#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    pub name: String,
    pub town: Option<String>,
    /// As the shop writes it, with a date or without.
    pub edition: Option<String>,
    /// A BCP 47 tag: `en`.
    pub language: String,
    pub currency: Currency,
    pub units: Units,
    /// Address of the published site, without a slash at its end.
    pub site: Option<String>,
    pub default_theme: String,
    /// A permanent change is told beside a plan that goes without one only where it saves more than this.
    pub cut_saves: Money,
    /// The site has a page for whoever keeps the book.
    pub reference: bool,
    pub defaults: Defaults,
    pub bolts: Bolts,
    pub materials: BTreeMap<String, Material>,
    /// What bolts and nuts that do not say are taken for.
    pub usual: Usual,
}

/// Units shown beside each other's values; all data is exact whatever is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    Millimetres,
    Inches,
}

/// How torque turns into pull.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bolts {
    /// K of T = K F d.
    pub torque_factor: NutFactor,
    /// Ceiling of the preload, percent of the proof load.
    pub proof_percent: u8,
}

impl Bolts {
    /// Zinc plated (Shigley, table 8-15); three quarters of the proof load for a joint that is undone again
    /// (Shigley, from memory).
    pub const USUAL: Bolts = Bolts { torque_factor: NutFactor::ZINC_PLATED, proof_percent: 75 };
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Material {
    /// Least tensile strength.
    pub strength: Strength,
    /// Where the figure comes from, as written.
    pub source: Option<String>,
}

/// `None` when the file is missing or has an error in it; every error is among the problems.
pub fn read_shop(files: &BookFiles, sources: &mut Sources, problems: &mut Problems) -> Option<Shop> {
    let Some(bytes) = files.get(PATH) else {
        problems.push(
            Problem::error("shop-missing", "the book has no shop file")
                .in_file(PATH)
                .note("a book is a folder with content/shop.toml and its parts in parts/")
                .mend("write content/shop.toml with name = \"…\" and currency = \"EUR\""),
        );
        return None;
    };
    let before = problems.errors();
    let file = add_text(PATH, bytes, sources, problems)?;
    let document = Document::parse(sources, file, problems);
    if document.is_broken() {
        return None;
    }
    let shop = read_root(document.root(), problems);
    shop.filter(|_| problems.errors() == before)
}

/// The format of a book's files that is read here.
const FORMAT: u32 = 1;

/// False of a book in a later format: whatever else would be told about it might be wrong.
fn can_read(root: &Table, problems: &mut Problems) -> bool {
    let Some(entry) = root.get("format") else { return true };
    let Some(format) = entry.count(1_000, problems).filter(|format| *format > FORMAT) else { return true };
    problems.push(
        Problem::error(
            "book-format-later",
            format!("this book is of format {format}, and this program reads {FORMAT}"),
        )
        .at(entry.span, "")
        .mend("use a newer Benchleaf"),
    );
    false
}

fn read_root(root: Table, problems: &mut Problems) -> Option<Shop> {
    if !can_read(&root, problems) {
        return None;
    }
    let name = root.needed_text("name", FILE, problems).and_then(|text| filled(text, problems));
    let town = root.text("town", problems).map(|t| t.value);
    let edition = root.text("edition", problems).map(|t| t.value);
    let language = language(&root, problems);
    let currency = match root.needed_text("currency", FILE, problems) {
        Some(text) => read(&text, "currency-misread", Currency::read, problems),
        None => None,
    };
    let units = units(&root, problems);
    let site = root.text("site", problems).map(|t| t.value.trim_end_matches('/').to_string());
    let default_theme = theme(&root, problems);
    let cut_saves = match (root.get("cut_saves"), currency) {
        (Some(entry), Some(currency)) => price(&entry, currency, problems),
        (_, currency) => currency.map(usual_saving),
    };
    let reference = root.flag("reference", problems).unwrap_or(false);
    let defaults = assumed(&root, problems);
    let bolts = bolts(&root, problems);
    let materials = materials(&root, problems);
    let usual = read_usual(&root, &materials, problems);
    built_in(&root, problems);
    root.finish(FILE, &layouts::SHOP, problems);
    Some(Shop {
        name: name?.value,
        town,
        edition,
        language,
        currency: currency?,
        units,
        site,
        default_theme,
        cut_saves: cut_saves?,
        reference,
        defaults: defaults?,
        bolts,
        materials,
        usual,
    })
}

/// Twenty of the currency: a saving that may be worth a part that nobody can make whole again (common practice, no source).
fn usual_saving(currency: Currency) -> Money {
    Money::minor(20 * 10_i64.pow(u32::from(currency.digits())), currency)
}

fn read<T>(
    text: &Text,
    code: &'static str,
    read: impl Fn(&str) -> Result<T, Misread>,
    problems: &mut Problems,
) -> Option<T> {
    read(&text.value).map_err(|misread| problems.push(misread_problem(text, misread, code))).ok()
}

fn no_material(name: &str, entry: &Entry) -> Problem {
    let strength = entry.count(5_000, &mut Problems::default()).filter(|n| *n > 0);
    let strength = strength.map_or("310".to_string(), |n| n.to_string());
    Problem::error("field-type", format!("the material {name} is a table, with its strength in it"))
        .at(entry.span, "")
        .note("strength is the least tensile strength in MPa; source says where the figure comes from")
        .mend(format!("write \"{name}\" = {{ strength = {strength} }}"))
}

fn units(root: &Table, problems: &mut Problems) -> Units {
    let Some(text) = root.text("units", problems) else { return Units::Millimetres };
    match text.value.as_str() {
        "mm" => Units::Millimetres,
        "in" => Units::Inches,
        other => {
            let plain = other.trim().to_lowercase();
            let inches = ["in", "\"", "imperial", "us", "zoll", "pouce"].iter().any(|w| plain.starts_with(w));
            problems.push(
                Problem::error("choice-unknown", format!("\"{other}\" are no units here"))
                    .at(text.span, "")
                    .note("expected mm or in")
                    .mend(if inches { "write units = \"in\"" } else { "write units = \"mm\"" }),
            );
            Units::Millimetres
        }
    }
}

fn theme(root: &Table, problems: &mut Problems) -> String {
    let Some(text) = root.text("default_theme", problems) else { return "bench".to_string() };
    if !is_safe_name(&text.value) {
        problems.push(
            Problem::error("name-unsafe", format!("\"{}\" is no name of a theme", text.value))
                .at(text.span, "")
                .note("expected small letters, digits and hyphens: it is a folder in themes/")
                .mend("write default_theme = \"bench\""),
        );
    }
    text.value
}

/// `[assumed]` and `[caliper]`; each line left out keeps the usual value.
fn assumed(root: &Table, problems: &mut Problems) -> Option<Defaults> {
    let mut defaults = match Defaults::usual() {
        Ok(defaults) => defaults,
        Err((_, misread)) => {
            problems.push(Problem::error("size-misread", misread.fact).in_file(PATH).mend(misread.mend));
            return None;
        }
    };
    defaults.caliper = caliper(root, defaults.caliper, problems);
    let Some(table) = root.get("assumed").and_then(|e| e.table(problems)) else { return Some(defaults) };
    for (key, nature, class) in [
        ("bore", Nature::Bore, &mut defaults.bore),
        ("outside", Nature::Outside, &mut defaults.outside),
        ("height", Nature::Height, &mut defaults.height),
        ("depth", Nature::Depth, &mut defaults.depth),
        ("cast", Nature::Cast, &mut defaults.cast),
    ] {
        let Some(text) = table.text(key, problems) else { continue };
        if let Some(read) = read(&text, "class-misread", |t| StandardClass::read(t, nature), problems) {
            *class = read;
        }
    }
    table.finish("[assumed]", &layouts::ASSUMED, problems);
    Some(defaults)
}

fn caliper(root: &Table, usual: Caliper, problems: &mut Problems) -> Caliper {
    let mut caliper = usual;
    let Some(table) = root.get("caliper").and_then(|e| e.table(problems)) else { return caliper };
    for (key, jaw) in
        [("outside", &mut caliper.outside), ("inside", &mut caliper.inside), ("depth", &mut caliper.depth)]
    {
        let Some(text) = table.size(key, problems) else { continue };
        if let Some(length) = read(&text, "size-misread", read_length, problems) {
            *jaw = length;
            problems.0.extend(about_caliper(length).map(|question| question.problem(text.span)));
        }
    }
    table.finish("[caliper]", &layouts::CALIPER, problems);
    caliper
}

fn bolts(root: &Table, problems: &mut Problems) -> Bolts {
    let mut bolts = Bolts::USUAL;
    let Some(table) = root.get("bolts").and_then(|e| e.table(problems)) else { return bolts };
    if let Some(text) = table.size("torque_factor", problems)
        && let Some(factor) = read(&text, "factor-misread", NutFactor::read, problems)
    {
        bolts.torque_factor = factor;
    }
    if let Some(text) = table.size("proof_fraction", problems) {
        match percent(&text.value) {
            Some(percent) => bolts.proof_percent = percent,
            None => problems.push(
                Problem::error("factor-misread", format!("\"{}\" is no part of a proof load", text.value))
                    .at(text.span, "")
                    .note("expected 0.10 to 1.00, in whole hundredths")
                    .mend("write proof_fraction = \"0.75\""),
            ),
        }
    }
    table.finish("[bolts]", &layouts::BOLTS, problems);
    bolts
}

/// `0.75` as 75, exactly.
fn percent(text: &str) -> Option<u8> {
    let length: Length =
        read_length(text).ok().filter(|_| text.trim().ends_with(|c: char| c.is_ascii_digit()))?;
    let (hundredths, rest) = (length.as_nm() / 10_000, length.as_nm() % 10_000);
    u8::try_from(hundredths).ok().filter(|p| rest == 0 && (10..=100).contains(p))
}

/// `[built_in]`: which rule files and pieces of the program's own the book takes. They are among its files by now, so
/// that here only slips are told.
fn built_in(root: &Table, problems: &mut Problems) {
    let Some(table) = root.get("built_in").and_then(|e| e.table(problems)) else { return };
    for (key, what, known) in [
        ("systems", "clamp system", crate::built_in::system_names()),
        ("pieces", "set of pieces", crate::built_in::piece_names()),
    ] {
        for text in table.texts(key, problems) {
            if known.contains(&text.value.as_str()) {
                continue;
            }
            let mend = suggest(&text.value, known.iter().copied())
                .map_or("write one of these".to_string(), |near| format!("write \"{near}\""));
            problems.push(
                Problem::error(
                    "built-in-unknown",
                    format!("no {what} \"{}\" comes with the program", text.value),
                )
                .at(text.span, "")
                .note(format!("built in: {}", known.join(", ")))
                .mend(mend),
            );
        }
    }
    table.finish("[built_in]", &layouts::BUILT_IN, problems);
}

fn materials(root: &Table, problems: &mut Problems) -> BTreeMap<String, Material> {
    let mut materials = BTreeMap::new();
    let Some(table) = root.get("materials").and_then(|e| e.table(problems)) else { return materials };
    for (name, entry) in table.all() {
        if !entry.is_table() {
            problems.push(no_material(&name, &entry));
            continue;
        }
        let Some(fields) = entry.table(problems) else { continue };
        let of = "a material";
        let strength = fields.needed("strength", of, problems);
        let read = strength.and_then(|e| {
            let strength = e.count(5_000, problems).map(Strength::mpa)?;
            if strength.is_none() {
                e.refuse::<()>("a strength in MPa, over 0", problems);
            }
            let question = strength.and_then(|s| about_strength(s.as_mpa()));
            problems.0.extend(question.map(|question| question.problem(e.span)));
            strength
        });
        let source = fields.text("source", problems).map(|t| t.value);
        fields.finish(of, &layouts::MATERIAL, problems);
        if let Some(strength) = read {
            materials.insert(name, Material { strength, source });
        }
    }
    materials
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::PropertyClass;

    fn shop(text: &str) -> (Option<Shop>, Problems) {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let files = BookFiles::from([(PATH.to_string(), text.as_bytes().to_vec())]);
        (read_shop(&files, &mut sources, &mut problems), problems)
    }

    #[test]
    fn a_name_and_a_currency_are_a_shop() {
        let (shop, problems) = shop("name = \"Bench\"\ncurrency = \"EUR\"\n");
        assert_eq!(problems, Problems::default());
        let shop = shop.expect("a shop");
        assert_eq!((shop.language.as_str(), shop.bolts), ("en", Bolts::USUAL));
    }

    #[test]
    fn every_line_can_be_set() {
        let (shop, problems) = shop(
            "name = \"Bench\"\ntown = \"Quay\"\nlanguage = \"en\"\ncurrency = \"GBP\"\nunits = \"in\"\n\
             site = \"https://bench.example/\"\ndefault_theme = \"chalk\"\n[assumed]\nbore = \"H8\"\n\
             height = \"iso2768-m\"\n[caliper]\ninside = 0.05\n[bolts]\ntorque_factor = \"0.18\"\n\
             proof_fraction = \"0.6\"\n[materials]\nsteel = { strength = 500, source = \"from memory\" }\n",
        );
        assert_eq!(problems, Problems::default());
        let shop = shop.expect("a shop");
        assert_eq!(shop.bolts.proof_percent, 60);
        assert_eq!(shop.defaults.caliper.inside, Length::um(50));
        assert_eq!(shop.defaults.bore.to_string(), "H8");
        assert_eq!(shop.materials["steel"].strength.as_mpa(), 500);
        assert_eq!(shop.site.as_deref(), Some("https://bench.example"));
        assert_eq!(shop.units, Units::Inches);
    }

    #[test]
    fn a_shop_says_itself_what_bolts_and_nuts_are_made_of() {
        let materials = "[materials]\nsteel = { strength = 500 }\nbrass = { strength = 360 }\n";
        let of = |usual: &str| shop(&format!("name = \"Bench\"\ncurrency = \"EUR\"\n{usual}{materials}"));
        let (read, problems) =
            of("[usual]\nbolt_classes = [\"8.8\", \"10.9\"]\nnut_materials = [\"steel\"]\n");
        assert_eq!(problems, Problems::default());
        let usual = read.expect("a shop").usual;
        assert_eq!(
            (usual.strongest_class(), usual.weakest_class()),
            (PropertyClass::C10_9, PropertyClass::C8_8)
        );
        assert_eq!(usual.weakest_nut().map(|n| n.0), Some("steel"));
        let (read, problems) = of("[usual]\nbolt_classes = [\"9.8\"]\nnut_materials = [\"stel\"]\n");
        assert_eq!(read, None);
        assert_eq!(
            problems.0.iter().map(|p| p.code).collect::<Vec<_>>(),
            ["class-misread", "material-unknown"]
        );
    }

    #[test]
    fn a_missing_shop_file_is_named() {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        assert_eq!(read_shop(&BookFiles::new(), &mut sources, &mut problems), None);
        assert_eq!(problems.0[0].path.as_deref(), Some(PATH));
    }

    #[test]
    fn every_mistake_of_the_file_is_told_once() {
        let (shop, problems) = shop(
            "nam = \"Bench\"\ncurrency = \"EURO\"\n[assumed]\nbore = \"h9\"\n[bolts]\nproof_fraction = \"1.5\"\n\
             [materials]\nlead = { strength = 0 }\n",
        );
        assert_eq!(shop, None);
        let codes: Vec<&str> = problems.0.iter().map(|p| p.code).collect();
        let expected = ["currency-misread", "class-misread", "factor-misread", "field-type", "field-unknown"];
        assert_eq!(codes, expected);
    }
}

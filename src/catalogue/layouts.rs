//! What the files of `parts/` and the shop's file may hold, as tables: read by their readers and told by the reference.
//! Must not know what any of it is good for.

use crate::base::Holds::{
    Choice, Count, Flag, Length, NamedTables, Number, Price, Table, Tables, Text, Texts, TextsOrTables,
};
use crate::base::Wanted::{Always, Else, May, Where};
use crate::base::{Layout, key};

pub static PARTS_FILE: Layout = Layout {
    name: "parts-file",
    header: "",
    place: "parts/**/*.toml",
    about: "parts, boxes and trials, any number in a file, any files in any folders",
    keys: &[
        key("part", Tables(&PART), May, "a part", "[[part]]"),
        key("box", Tables(&BOX), May, "a box that is sold as one", "[[box]]"),
        key("tried", Tables(&TRIED), May, "two parts that were tried on each other by hand", "[[tried]]"),
    ],
    also: &[],
};

pub static PART: Layout = Layout {
    name: "part",
    header: "[[part]]",
    place: "parts/**/*.toml",
    about: "a part; besides these it has the fields of its kind",
    keys: &[
        key("id", Text, Always, "its own name in files and addresses: small letters, digits, hyphens", "\"shim-alder\""),
        key("kind", Text, Always, "what it is: one of the kinds", "\"shim\""),
        key("name", Text, Always, "its name on pages", "\"Alder wide shim\""),
        key("maker", Text, May, "who makes it", "\"Quayside Turning\""),
        key("about", Text, May, "a sentence for its page", "\"The usual one under oversize bars.\""),
        key("price", Price, May, "the price of one in the shop's currency; the stock list's comes before it", "\"6.50\""),
        key("loose", Flag, Else("true where it has a price"), "it can be bought by itself; false: only in a box", "false"),
        key("colours", Texts, May, "the colours it is sold in", "[\"black\", \"raw\"]"),
        key("material", Text, May, "a name of [materials] in the shop's file, for what has or holds a thread", "\"aluminium 6061-T6\""),
        key("revision", Tables(&REVISION), May, "it was made in several ways under one name", "[[part.revision]]"),
    ],
    also: &[],
};

pub static REVISION: Layout = Layout {
    name: "revision",
    header: "[[part.revision]]",
    place: "below the part",
    about: "one way a part was made: besides these the fields in which it differs from the part; in a spreadsheet one more row of the id, with its name in the column revision",
    keys: &[
        key("id", Text, Always, "its own name beside the other revisions", "\"2\""),
        key("since", Text, May, "from when on", "\"autumn 2025\""),
        key("tell", Text, May, "how to tell it from the others on the bench", "\"a hole of 8.5 mm in the crown\""),
        key("sold", Flag, Else("true"), "false: made no more, but riders have it", "false"),
    ],
    also: &[],
};

pub static BOX: Layout = Layout {
    name: "box",
    header: "[[box]]",
    place: "parts/**/*.toml",
    about: "parts that are sold together: a fork as it comes, a headset, a kit",
    keys: &[
        key("id", Text, Always, "its own name, like a part's; no part has the same", "\"box-heron\""),
        key("name", Text, Always, "its name on pages", "\"Heron front end\""),
        key("maker", Text, May, "who packs it", "\"Gannet Works\""),
        key("about", Text, May, "a sentence for its page", "\"Fork, headset, clamp and bars in one box.\""),
        key("price", Price, May, "the price of the box", "\"269.00\""),
        key("sold", Flag, Else("true"), "false: sold no more, but riders have one", "false"),
        key("holds", TextsOrTables(&HELD), Always, "ids of the parts in it", "[\"race-30\", { part = \"bearing-45\", count = 2 }]"),
    ],
    also: &[],
};

pub static HELD: Layout = Layout {
    name: "held",
    header: "{ part = … }",
    place: "in holds of a [[box]]",
    about: "what a box holds, where the id alone does not say enough",
    keys: &[
        key("part", Text, Always, "the part's id", "\"bearing-45\""),
        key("revision", Text, May, "which revision it is; left out, each of them may be in the box", "\"2\""),
        key("count", Count(1_000), Else("1"), "how many", "2"),
    ],
    also: &[],
};

pub static TRIED: Layout = Layout {
    name: "tried",
    header: "[[tried]]",
    place: "parts/**/*.toml",
    about: "two parts that were slid over each other by hand: settles their fit, whatever the sizes leave open",
    keys: &[
        key("parts", TextsOrTables(&TRIED_PART), Always, "the two parts", "[\"shim-bracken\", { part = \"fork-tern\", revision = \"2\" }]"),
        key("surfaces", Texts, Where("more than one fit of the two may be meant"), "a surface of each, in the same order", "[\"inside\", \"steerer\"]"),
        key("slides", Flag, Always, "on by hand and without wobble; false: not, or with wobble", "true"),
        key("by", Text, May, "who tried it", "\"the bench\""),
        key("day", Text, May, "when", "\"14 March\""),
    ],
    also: &[],
};

pub static TRIED_PART: Layout = Layout {
    name: "tried-part",
    header: "{ part = … }",
    place: "in parts of a [[tried]]",
    about: "a part of a trial that is made in revisions",
    keys: &[
        key("part", Text, Always, "the part's id", "\"fork-tern\""),
        key("revision", Text, Where("the part has revisions"), "the revision that was tried", "\"2\""),
    ],
    also: &[],
};

pub static STOCK: Layout = Layout {
    name: "stock",
    header: "",
    place: "parts/stock.csv",
    about: "the columns of the stock list, in any order; other columns are told and passed over",
    keys: &[
        key("id", Text, Always, "id of a part or box", "shim-alder"),
        key("price", Price, Where("there is no on_hand"), "the price, with decimal point or comma", "6.50"),
        key("on_hand", Count(u32::MAX), Where("there is no price"), "how many are there", "12"),
    ],
    also: &[],
};

pub static SHOP: Layout = Layout {
    name: "shop",
    header: "",
    place: "content/shop.toml",
    about: "the shop's own settings",
    keys: &[
        key("format", Count(1_000), Else("1"), "the format of the book's files; a program refuses a later one than it reads", "1"),
        key("name", Text, Always, "the shop's name, on every page", "\"Staithe Lane Scooters\""),
        key("town", Text, May, "where it is", "\"Wexley Staithe\""),
        key("edition", Text, May, "edition of the book, with its date if there is one; printed on every guide (left out: a sum of its data)", "\"Autumn 2026\""),
        key("language", Text, Else("\"en\""), "a language tag of BCP 47; words of that language are read from content/words/TAG.toml", "\"en\""),
        key("currency", Text, Always, "currency of all prices, a code of ISO 4217", "\"EUR\""),
        key("units", Choice(&["mm", "in"]), Else("\"mm\""), "units shown; data may be in either", "\"mm\""),
        key("site", Text, May, "address of the published site", "\"https://bench.example\""),
        key("default_theme", Text, Else("\"bench\""), "a folder in themes/, or the built-in theme", "\"bench\""),
        key("cut_saves", Price, Else("\"20\""), "a cut is told beside a plan that goes without one only where it saves more than this", "\"20.00\""),
        key("reference", Flag, Else("false"), "the site has a page that tells what may be written in this book's files", "true"),
        key("caliper", Table(&CALIPER), May, "what the shop's calipers may be off by", "[caliper]"),
        key("assumed", Table(&ASSUMED), May, "what a size without deviations is taken to mean", "[assumed]"),
        key("bolts", Table(&BOLTS), May, "how torque turns into pull", "[bolts]"),
        key("materials", NamedTables(&MATERIAL), May, "what parts are made of, by names of your own", "[materials]"),
        key("usual", Table(&USUAL), May, "what bolts and nuts that do not say are taken for", "[usual]"),
        key("built_in", Table(&BUILT_IN), May, "what the book takes of the program's own", "[built_in]"),
    ],
    also: &[],
};

pub static CALIPER: Layout = Layout {
    name: "caliper",
    header: "[caliper]",
    place: "content/shop.toml",
    about: "how far a reading may be off, either way",
    keys: &[
        key("outside", Length, Else("\"0.02\""), "outside jaws", "\"0.02\""),
        key("inside", Length, Else("\"0.04\""), "inside jaws", "\"0.04\""),
        key("depth", Length, Else("\"0.04\""), "the rod, for depths", "\"0.04\""),
    ],
    also: &[],
};

pub static ASSUMED: Layout = Layout {
    name: "assumed",
    header: "[assumed]",
    place: "content/shop.toml",
    about: "the class that a size without deviations is taken to have, of ISO 286 or ISO 2768-1",
    keys: &[
        key("bore", Text, Else("\"JS9\""), "bores", "\"H9\""),
        key("outside", Text, Else("\"js9\""), "outside diameters", "\"h9\""),
        key("height", Text, Else("\"iso2768-f\""), "heights and lengths, face to face", "\"iso2768-f\""),
        key("depth", Text, Else("\"iso2768-f\""), "depths", "\"iso2768-f\""),
        key("cast", Text, Else("\"iso2768-c\""), "what is cast, welded or cut", "\"iso2768-m\""),
    ],
    also: &[],
};

pub static BOLTS: Layout = Layout {
    name: "bolts",
    header: "[bolts]",
    place: "content/shop.toml",
    about: "how a torque is turned into a pull",
    keys: &[
        key("torque_factor", Number, Else("\"0.20\""), "K of T = K F d", "\"0.20\""),
        key("proof_fraction", Number, Else("\"0.75\""), "the most pull, as a part of the bolt's proof load", "\"0.75\""),
    ],
    also: &[],
};

pub static MATERIAL: Layout = Layout {
    name: "material",
    header: "\"aluminium 6061-T6\" = { … }",
    place: "in [materials] of content/shop.toml",
    about: "a material by the name that parts give it",
    keys: &[
        key("strength", Count(5_000), Always, "least tensile strength in MPa, over 0", "310"),
        key("source", Text, May, "where the figure comes from", "\"handbook figure\""),
    ],
    also: &[],
};

pub static USUAL: Layout = Layout {
    name: "usual",
    header: "[usual]",
    place: "content/shop.toml",
    about: "what bolts and nuts that do not say are taken for, whichever is worst for a check",
    keys: &[
        key("bolt_classes", Texts, Else("all of them"), "property classes: 8.8, 10.9, 12.9, A2-70", "[\"8.8\", \"10.9\"]"),
        key("nut_materials", Texts, Else("common ones and all of [materials]"), "names of [materials]", "[\"steel C45\"]"),
    ],
    also: &[],
};

pub static BUILT_IN: Layout = Layout {
    name: "built_in",
    header: "[built_in]",
    place: "content/shop.toml",
    about: "what the book takes of the program's own; `benchleaf unpack` tells what there is",
    keys: &[
        key("systems", Texts, May, "clamp systems; a rule file of the book with that name comes before it", "[\"wide-shim\"]"),
        key("pieces", Texts, May, "sets of headset pieces of usual sizes; a part of the book with the same id comes before one", "[\"headset\", \"spacers\"]"),
    ],
    also: &[],
};

/// All of them, in the order in which they are told.
pub static ALL: [&Layout; 15] = [
    &SHOP, &BUILT_IN, &CALIPER, &ASSUMED, &BOLTS, &MATERIAL, &USUAL, &PARTS_FILE, &PART, &REVISION, &BOX, &HELD, &TRIED,
    &TRIED_PART, &STOCK,
];

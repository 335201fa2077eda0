//! Which pages there are, and what each is rendered from. Must not know what a page looks like.
//!
//! Every page must be reached from the front page: `tests/site_book.rs` walks the links.

use serde::Serialize;
use tera::Context;

use super::index_view::{FrontView, GuideLink, PartsView};
use super::key_view::KeyView;
use super::links::{
    KEY, Links, MEASURING, for_bars_path, fork_path, guide_path, part_path, prose_path, root_of, system_path,
    upgrades_path,
};
use super::measuring_view::MeasuringView;
use super::part_view::{BoxView, ForkView, PartView};
use super::prose::{DRAWN, Prose, Sizes};
use super::reference_view::ReferenceView;
use super::shelf_view::{Shelf, ShelfView};
use super::theme::css_text;
use super::typeset::typeset;
use super::upgrades_view::UpgradesView;
use super::uses::Uses;
use super::wording::Wording;
use super::{Drawing, GuideForBars, SiteInput, guide_view, system_view};
use crate::base::Problem;
use crate::catalogue::{BoxIx, PartIx};
use crate::draw::{PartInput, PartWords, part_alone};
use crate::guide::{self, KeyText, key_text};
use crate::kinds::Known;

/// All that pages are made from, with what was looked up once.
pub(super) struct Book<'a> {
    pub input: &'a SiteInput<'a>,
    pub links: Links<'a>,
    pub uses: Uses<'a>,
    /// The safety notes as HTML for a guide page.
    pub safety: Vec<ProseView<'a>>,
    /// The same for a guide page one folder further down.
    safety_for_bars: Vec<ProseView<'a>>,
    /// The key to an unknown fork.
    pub key: KeyText,
    nav: Vec<NavLink>,
    drawing_symbols: String,
    /// Printed at the foot of every page.
    pub edition: String,
}

/// As the shop says; else a sum of all answers, by which two prints are told apart. Never a date of the clock.
fn edition(input: &SiteInput<'_>) -> String {
    input.shop.edition.clone().unwrap_or_else(|| {
        let sum = blake3::hash(input.pairings.concat().as_bytes()).to_hex();
        input.words.say("edition.sum", &[("sum", &sum[..8])])
    })
}

/// One page still to be rendered; numbers are indexes into what the site was given.
#[derive(Clone, Copy, Debug)]
pub(super) enum Page {
    Front,
    Forks,
    Systems,
    Parts,
    Key,
    Measuring,
    Guide(usize),
    Fork(PartIx),
    /// Index into the upgrades.
    Upgrades(usize),
    System(usize),
    Part(PartIx),
    Box(BoxIx),
    Prose(usize),
    WhatIHave,
    Reference,
}

#[derive(Serialize)]
pub(super) struct ProseView<'a> {
    pub slug: &'a str,
    pub title: &'a str,
    /// It shows parts, which need what all drawings share.
    pub drawn: bool,
    pub html: String,
}

#[derive(Serialize)]
struct NavLink {
    title: String,
    href: String,
}

#[derive(Serialize)]
struct SiteView<'a> {
    shop: &'a str,
    town: Option<&'a str>,
    language: &'a str,
    nav: &'a [NavLink],
    has_script: bool,
    /// There is a page on which riders tick what they have.
    has_shelf: bool,
    /// There is a page for whoever keeps the book.
    has_reference: bool,
    /// What the drawings of a page share.
    drawing_symbols: &'a str,
    /// As it may stand in a style sheet.
    print_foot: String,
}

/// The page, and its template.
pub(super) const WHAT_I_HAVE: &str = "what-i-have.html";

/// A guide page lies two folders down.
const GUIDE_ROOT: &str = "../../";
const FOR_BARS_ROOT: &str = "../../../";

impl<'a> Book<'a> {
    pub fn new(input: &'a SiteInput<'a>) -> Book<'a> {
        let links = Links { catalogue: input.catalogue, rules: input.rules };
        let nav = input
            .prose
            .pages
            .iter()
            .map(|p| NavLink { title: p.title.clone(), href: prose_path(&p.slug) })
            .collect();
        let safety_at = |root| input.prose.safety.iter().map(|p| prose_view(input, p, root, 3)).collect();
        let (safety, safety_for_bars) = (safety_at(GUIDE_ROOT), safety_at(FOR_BARS_ROOT));
        let SiteInput { catalogue, rules, words, .. } = *input;
        let key = key_text(
            &guide::Book { catalogue, rules, words, caliper: input.shop.defaults.caliper },
            input.shop.defaults.caliper,
        );
        let drawing_symbols = crate::draw::page_symbols();
        Book {
            input,
            links,
            uses: Uses::of(input.guides),
            safety,
            safety_for_bars,
            key,
            nav,
            drawing_symbols,
            edition: edition(input),
        }
    }

    pub fn pages(&self) -> Vec<Page> {
        let catalogue = self.input.catalogue;
        let parts = (0..catalogue.parts.len()).map(|i| PartIx(i as u32));
        let mut all = vec![Page::Front, Page::Forks, Page::Systems, Page::Parts, Page::Key, Page::Measuring];
        all.extend(self.shelf().map(|_| Page::WhatIHave));
        all.extend(self.input.reference.map(|_| Page::Reference));
        all.extend(catalogue.known_as(Known::Fork).map(Page::Fork));
        all.extend((0..self.input.upgrades.len()).map(Page::Upgrades));
        all.extend((0..self.input.rules.len()).map(Page::System));
        all.extend(parts.map(Page::Part));
        all.extend((0..catalogue.boxes.len()).map(|i| Page::Box(BoxIx(i as u32))));
        all.extend((0..self.input.prose.pages.len()).map(Page::Prose));
        all.extend((0..self.input.guides.len() + self.input.for_bars.len()).map(Page::Guide));
        all
    }

    /// What its page tells, where there is such a page and it is known.
    pub fn shelf(&self) -> Option<&'a Shelf> {
        self.input.shelf.filter(|shelf| !shelf.forks.is_empty())
    }

    pub fn wording(&self) -> Wording<'a> {
        Wording(self.input.words)
    }

    /// The guides of the book, then those for other bars.
    pub fn guide(&self, index: usize) -> &'a guide::Guide {
        match self.for_bars(index) {
            Some(for_bars) => &for_bars.guide,
            None => &self.input.guides[index],
        }
    }

    fn for_bars(&self, index: usize) -> Option<&'a GuideForBars> {
        self.input.for_bars.get(index.checked_sub(self.input.guides.len())?)
    }

    /// The guide itself, or the one that it stands beside.
    pub fn main_guide(&self, index: usize) -> usize {
        self.for_bars(index).map_or(index, |for_bars| for_bars.of)
    }

    pub fn drawings_of(&self, index: usize) -> &'a [Drawing] {
        match self.for_bars(index) {
            Some(for_bars) => &for_bars.drawings,
            None => self.input.drawings.get(index).map_or(&[], Vec::as_slice),
        }
    }

    /// The safety notes as HTML for this guide's page.
    pub fn safety_of(&self, index: usize) -> &[ProseView<'a>] {
        if self.for_bars(index).is_some() { &self.safety_for_bars } else { &self.safety }
    }

    pub fn guide_link(&self, guide: usize) -> GuideLink<'a> {
        GuideLink::to(&self.input.guides[guide])
    }

    /// Guides for which something holds, in the order of the book.
    pub fn guides_where(&self, wanted: impl Fn(&crate::guide::Guide) -> bool) -> Vec<GuideLink<'a>> {
        self.input.guides.iter().filter(|g| wanted(g)).map(GuideLink::to).collect()
    }
}

pub(super) fn prose_view<'a>(
    input: &SiteInput<'_>,
    prose: &'a Prose,
    root: &str,
    level: u8,
) -> ProseView<'a> {
    let html = prose.html(root, level, &|page, sizes| drawn_part(input, page, sizes));
    ProseView { slug: &prose.slug, title: &prose.title, drawn: html.contains(DRAWN), html }
}

/// The part that has this page, alone or as it is drawn there; its first revision, where it has several.
pub(super) fn drawn_part(input: &SiteInput, page: &str, sizes: Sizes) -> Option<String> {
    let part = input.catalogue.parts.iter().find(|part| part_path(&part.id) == page)?;
    let index = *part.variants.first()?;
    if sizes == Sizes::Told {
        return input.part_drawings.get(index.0 as usize)?.clone();
    }
    let words = PartWords { title: &part.name, ..PartWords::default() };
    let (variant, id_prefix) = (input.catalogue.variant(index), format!("a{}-", index.0));
    part_alone(&PartInput { part, variant, words, id_prefix: &id_prefix })
}

impl Page {
    pub fn path(self, book: &Book) -> String {
        let (catalogue, input) = (book.input.catalogue, book.input);
        match self {
            Page::Front => "index.html".into(),
            Page::Forks => "forks/index.html".into(),
            Page::WhatIHave => WHAT_I_HAVE.into(),
            Page::Reference => "reference.html".into(),
            Page::Systems => "systems/index.html".into(),
            Page::Parts => "parts/index.html".into(),
            Page::Key => KEY.into(),
            Page::Measuring => MEASURING.into(),
            Page::Guide(i) => path_of(book.guide(i)),
            Page::Fork(ix) => fork_path(&catalogue.part(ix).id),
            Page::Upgrades(i) => upgrades_path(&input.upgrades[i].fork_id),
            Page::System(i) => system_path(&input.rules[i].id),
            Page::Part(ix) => part_path(&catalogue.part(ix).id),
            Page::Box(ix) => part_path(&catalogue.the_box(ix).id),
            Page::Prose(i) => prose_path(&input.prose.pages[i].slug),
        }
    }

    /// What the page is made from, as its author knows it.
    pub fn source(self, book: &Book) -> String {
        let (catalogue, input) = (book.input.catalogue, book.input);
        match self {
            Page::Front => "the front page".into(),
            Page::Forks | Page::Systems | Page::Parts => "a list page".into(),
            Page::Key | Page::Measuring | Page::WhatIHave | Page::Reference => {
                "a page of the site's own".into()
            }
            Page::Guide(i) => {
                let guide = book.guide(i);
                format!("the guide of {} with {}", guide.fork_id, guide.system_id)
            }
            Page::Fork(ix) => format!("the fork {}", catalogue.part(ix).id),
            Page::Upgrades(i) => format!("the upgrades of {}", input.upgrades[i].fork_id),
            Page::System(i) => format!("the system {}", input.rules[i].id),
            Page::Part(ix) => format!("the part {}", catalogue.part(ix).id),
            Page::Box(ix) => format!("the box {}", catalogue.the_box(ix).id),
            Page::Prose(i) => format!("the text {}.md", input.prose.pages[i].slug),
        }
    }

    pub fn render(self, book: &Book) -> Result<Vec<u8>, Box<Problem>> {
        let root = root_of(&self.path(book));
        let (template, view) = match self {
            Page::Front => ("index.html", value(&FrontView::of(book))),
            Page::WhatIHave => (WHAT_I_HAVE, value(&book.shelf().map(|shelf| ShelfView::of(book, shelf)))),
            Page::Reference => ("reference.html", value(&book.input.reference.map(ReferenceView::of))),
            Page::Forks => ("forks.html", value(&FrontView::of(book))),
            Page::Systems => ("systems.html", value(&system_view::systems(book))),
            Page::Parts => ("parts.html", value(&PartsView::of(book))),
            Page::Key => ("key.html", value(&KeyView::of(book))),
            Page::Measuring => ("measuring.html", value(&MeasuringView::of(book))),
            Page::Guide(i) => ("guide.html", value(&guide_view::guide_view(book, i))),
            Page::Fork(ix) => ("fork.html", value(&ForkView::of(book, ix))),
            Page::Upgrades(i) => ("upgrades.html", value(&UpgradesView::of(book, i))),
            Page::System(i) => ("system.html", value(&system_view::system(book, i, &root))),
            Page::Part(ix) => ("part.html", value(&PartView::of(book, ix))),
            Page::Box(ix) => ("box.html", value(&BoxView::of(book, ix))),
            Page::Prose(i) => {
                ("prose.html", value(&prose_view(book.input, &book.input.prose.pages[i], &root, 2)))
            }
        };
        let mut context = Context::new();
        context.insert("site", &book.site_view());
        context.insert("root", &root);
        context.insert_value("page", view);
        let page = book.input.theme.render(template, &context)?;
        Ok(typeset(&String::from_utf8_lossy(&page)).into_bytes())
    }
}

fn path_of(guide: &guide::Guide) -> String {
    match &guide.with_bars {
        Some(bars) => for_bars_path(&guide.fork_id, &guide.system_id, &bars.page),
        None => guide_path(&guide.fork_id, &guide.system_id),
    }
}

fn value<T: Serialize>(view: &T) -> tera::Value {
    tera::Value::from_serializable(view)
}

impl Book<'_> {
    fn site_view(&self) -> SiteView<'_> {
        let shop = self.input.shop;
        SiteView {
            shop: &shop.name,
            town: shop.town.as_deref(),
            language: &shop.language,
            nav: &self.nav,
            has_script: self.input.theme.assets.contains_key("script.js"),
            has_shelf: self.input.shelf.is_none() || self.shelf().is_some(),
            has_reference: self.input.reference.is_some(),
            drawing_symbols: &self.drawing_symbols,
            print_foot: css_text(&format!("{} · {}", shop.name, self.edition)),
        }
    }
}

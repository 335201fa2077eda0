//! The shop's own prose: Markdown in, harmless HTML out. Must not know what page it ends up on.
//!
//! Raw HTML is shown as text, links may only lead inside the site or to a named harmless scheme, pictures are
//! left out but for one kind: `![](/parts/alder.html)` is a drawing of that part. Links inside the site are
//! written from its front page: `parts/alder.html`.

use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};

use super::links::safe;
use super::links_in_prose::{from_root, is_inside, page_of, refusal};
use super::prose_names::check_names;
use crate::base::{BookFiles, FileId, Problem, Problems, Sources, Span, add_text};

/// Before each part that is drawn in prose.
pub const DRAWN: &str = "<span class=\"drawn-part\">";

/// Whether a part is drawn with its sizes, and where the caliper goes to take them: `![](/parts/x.html "sizes")`, a title
/// of any words. Without one it only shows what the part looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sizes {
    Told,
    Untold,
}

/// All prose of a book, folder by folder, each in path order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BookProse {
    /// `content/safety/`: on every guide page.
    pub safety: Vec<Prose>,
    /// `content/pages/`: a page each.
    pub pages: Vec<Prose>,
    /// `content/systems/`: each on the page of the system with the same id.
    pub systems: Vec<Prose>,
}

/// One file of prose, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Prose {
    /// File name without its ending.
    pub slug: String,
    /// The first heading; the slug where there is none.
    pub title: String,
    /// Without the title. Link targets inside the site count from the site's root.
    body: Vec<Event<'static>>,
    /// Links inside the site, for checking once all pages are known.
    pub links: Vec<ProseLink>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProseLink {
    /// From the site's root, without fragment.
    pub path: String,
    pub span: Span,
}

/// Reads every prose file; text that the sources have already is taken from there.
pub fn read_prose(files: &BookFiles, sources: &mut Sources, problems: &mut Problems) -> BookProse {
    let mut folder = |folder| read_folder(files, folder, sources, problems);
    let [safety, pages, systems] = ["content/safety/", "content/pages/", "content/systems/"].map(&mut folder);
    check_names(&pages, problems);
    let texts = |folder: Vec<(FileId, Prose)>| folder.into_iter().map(|(_, prose)| prose).collect();
    BookProse { safety: texts(safety), pages: texts(pages), systems: texts(systems) }
}

/// The Markdown files directly in a folder.
fn read_folder(
    files: &BookFiles,
    folder: &str,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Vec<(FileId, Prose)> {
    let mut all = vec![];
    for (path, bytes) in files {
        let Some(slug) = path.strip_prefix(folder).and_then(|rest| rest.strip_suffix(".md")) else {
            continue;
        };
        if slug.contains('/') || slug.is_empty() {
            continue;
        }
        let Some(file) = source_file(sources, path, bytes, problems) else { continue };
        let text = &sources.get(file).text;
        if !Parser::new(text).any(|e| heading_level(&e).is_some()) {
            problems.push(untitled(file, text));
        }
        all.push((file, parse_prose(slug, text, file, problems)));
    }
    all
}

/// Prose from one text. Without a heading the slug is the title.
pub fn parse_prose(slug: &str, text: &str, file: FileId, problems: &mut Problems) -> Prose {
    let mut reader = Reader {
        problems,
        body: vec![],
        links: vec![],
        title: None,
        in_title: false,
        told_html: false,
        in_picture: false,
    };
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    for (event, range) in Parser::new_ext(text, options).into_offset_iter() {
        reader.take(event, Span::new(file, range));
    }
    let title = reader.title.map(|t| t.trim().to_string()).filter(|t| !t.is_empty());
    Prose {
        slug: slug.to_string(),
        title: title.unwrap_or_else(|| slug.to_string()),
        body: reader.body,
        links: reader.links,
    }
}

/// The file's place in the sources, added where it is not there yet; `None` when it is no text.
pub(super) fn source_file(
    sources: &mut Sources,
    path: &str,
    bytes: &[u8],
    problems: &mut Problems,
) -> Option<FileId> {
    let known = sources.iter().find(|(_, s)| s.path == path).map(|(id, _)| id);
    known.or_else(|| add_text(path, bytes, sources, problems))
}

fn untitled(file: FileId, text: &str) -> Problem {
    Problem::warning("prose-untitled", "this text has no heading, so its file name stands as the title")
        .at(Span::new(file, 0..text.lines().next().unwrap_or("").len()), "starts here")
        .mend("begin the file with a line such as `# Before you ride`")
}

impl Prose {
    /// HTML for a page whose path back to the root is `root`. The highest heading of the body becomes `level`
    /// (2 to 6) and no heading skips a level below the one before it. `drawn`: the drawing of the part with that page.
    pub fn html(&self, root: &str, level: u8, drawn: &dyn Fn(&str, Sizes) -> Option<String>) -> String {
        let highest = self.body.iter().filter_map(heading_level).min().unwrap_or(2);
        let mut now = level.saturating_sub(1);
        let events = self.body.iter().cloned().map(|event| match event {
            Event::Start(Tag::Heading { level: own, .. }) => {
                now = (own as u8 - highest + level).min(now + 1).min(6);
                Event::Start(Tag::Heading { level: level_of(now), id: None, classes: vec![], attrs: vec![] })
            }
            Event::End(TagEnd::Heading(_)) => Event::End(TagEnd::Heading(level_of(now))),
            Event::Start(Tag::Link { link_type, dest_url, title, id }) if is_inside(&dest_url) => {
                let dest_url = CowStr::from(format!("{root}{dest_url}"));
                Event::Start(Tag::Link { link_type, dest_url, title, id })
            }
            Event::Start(Tag::Image { dest_url, title, .. }) => {
                let sizes = if title.is_empty() { Sizes::Untold } else { Sizes::Told };
                let drawing = drawn(&dest_url, sizes).unwrap_or_default();
                Event::Html(format!("{DRAWN}{drawing}</span>").into())
            }
            // What has become one piece of HTML needs no end.
            Event::End(TagEnd::Image) => Event::Text(CowStr::from("")),
            other => other,
        });
        let mut out = String::new();
        html::push_html(&mut out, with_signals(events.collect()).into_iter());
        out
    }

    pub fn is_empty(&self) -> bool {
        self.body.is_empty()
    }

    /// The pages of the parts that are drawn in it.
    pub fn drawn(&self) -> impl Iterator<Item = String> {
        self.body.iter().filter_map(|event| match event {
            Event::Start(Tag::Image { dest_url, .. }) => Some(dest_url.to_string()),
            _ => None,
        })
    }
}

/// The page of a part, whose drawing may stand in prose.
fn is_part(target: &str) -> bool {
    refusal(target).is_none() && is_inside(target) && from_root(target).starts_with("parts/")
}

fn heading_level(event: &Event<'_>) -> Option<u8> {
    match event {
        Event::Start(Tag::Heading { level, .. }) => Some(*level as u8),
        _ => None,
    }
}

/// A paragraph that opens with a word all in capitals and strong (a signal word of ISO 3864-2 or any other)
/// becomes `<p class="signal signal-word">`, so that a theme can set it off.
fn with_signals(mut events: Vec<Event<'static>>) -> Vec<Event<'static>> {
    for at in 0..events.len() {
        let [Event::Start(Tag::Paragraph), Event::Start(Tag::Strong), Event::Text(word), ..] = &events[at..]
        else {
            continue;
        };
        let letters = word.trim_end_matches(':');
        if letters.len() > 2 && letters.chars().all(|c| c.is_uppercase()) {
            let class = safe(&letters.to_lowercase());
            events[at] = Event::Html(format!("<p class=\"signal signal-{class}\">").into());
        }
    }
    events
}

fn level_of(level: u8) -> HeadingLevel {
    HeadingLevel::try_from(usize::from(level.clamp(1, 6))).unwrap_or(HeadingLevel::H6)
}

struct Reader<'p> {
    problems: &'p mut Problems,
    body: Vec<Event<'static>>,
    links: Vec<ProseLink>,
    title: Option<String>,
    in_title: bool,
    told_html: bool,
    in_picture: bool,
}

impl Reader<'_> {
    fn take(&mut self, event: Event<'_>, span: Span) {
        if self.in_title {
            return self.take_title(event);
        }
        match event {
            Event::Start(Tag::Heading { .. }) if self.title.is_none() => {
                self.in_title = true;
                self.title = Some(String::new());
            }
            Event::Html(text) | Event::InlineHtml(text) => self.shown_as_text(&text, span),
            Event::Start(Tag::HtmlBlock) => self.body.push(Event::Start(Tag::Paragraph)),
            Event::End(TagEnd::HtmlBlock) => self.body.push(Event::End(TagEnd::Paragraph)),
            Event::Start(Tag::Image { link_type, dest_url, title, id }) if is_part(&dest_url) => {
                let dest_url = CowStr::from(self.target(&dest_url, span));
                self.body.push(Event::Start(Tag::Image { link_type, dest_url, title, id }).into_static());
                self.in_picture = true;
            }
            Event::End(TagEnd::Image) if std::mem::take(&mut self.in_picture) => {
                self.body.push(Event::End(TagEnd::Image));
            }
            // What stands for a picture where it cannot be shown: a drawing has words of its own.
            Event::Text(_) if self.in_picture => {}
            Event::Start(Tag::Image { .. }) => self.no_picture(span),
            Event::End(TagEnd::Image) => {}
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                let dest_url = CowStr::from(self.target(&dest_url, span));
                self.body.push(Event::Start(Tag::Link { link_type, dest_url, title, id }).into_static());
            }
            other => self.body.push(other.into_static()),
        }
    }

    fn take_title(&mut self, event: Event<'_>) {
        match event {
            Event::End(TagEnd::Heading(_)) => self.in_title = false,
            Event::Text(text) | Event::Code(text) | Event::InlineHtml(text) => {
                self.title.get_or_insert_default().push_str(&text);
            }
            Event::SoftBreak | Event::HardBreak => self.title.get_or_insert_default().push(' '),
            _ => {}
        }
    }

    fn shown_as_text(&mut self, text: &str, span: Span) {
        self.body.push(Event::Text(CowStr::from(text.to_string())));
        if std::mem::replace(&mut self.told_html, true) {
            return;
        }
        self.problems.push(
            Problem::warning("prose-html", "HTML in prose is shown as text, never obeyed")
                .at(span, "this is printed as it stands")
                .mend("write it in Markdown"),
        );
    }

    fn no_picture(&mut self, span: Span) {
        self.problems.push(
            Problem::warning("prose-picture", "pictures in prose are left out; only their words are printed")
                .at(span, "this picture")
                .mend("describe it in words, or show a part as its page draws it: `![](/parts/PART.html)`"),
        );
    }

    /// What the link leads to, or nowhere (`#`) when it is refused.
    fn target(&mut self, written: &str, span: Span) -> String {
        if let Some(problem) = refusal(written) {
            self.problems.push(problem.at(span, "this link"));
            return "#".into();
        }
        if !is_inside(written) {
            return written.to_string();
        }
        let target = from_root(written);
        self.links.push(ProseLink { path: page_of(&target), span });
        target
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Prose, Problems) {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let file = sources.add("content/pages/x.md", text);
        let prose = parse_prose("x", text, file, &mut problems);
        (prose, problems)
    }

    #[test]
    fn the_first_heading_is_the_title_and_leaves_the_body() {
        let (prose, _) = read("# Before *you* ride\n\nLook twice.\n");
        assert_eq!(prose.title, "Before you ride");
        assert_eq!(prose.html("", 2, &|_, _| None), "<p>Look twice.</p>\n");
    }

    #[test]
    fn html_in_prose_is_shown_as_text() {
        let (prose, problems) = read("# T\n\na <b onclick=x>b</b>\n\n<script>alert(1)</script>\n");
        let html = prose.html("", 2, &|_, _| None);
        assert!(html.contains("&lt;script&gt;") && html.contains("&lt;b onclick=x&gt;"), "{html}");
        assert!(!html.contains("<script") && !html.contains("<b "), "{html}");
        assert_eq!(problems.0.len(), 1, "told once");
    }

    #[test]
    fn a_link_that_could_run_something_is_refused() {
        for bad in
            ["javascript:alert(1)", "JaVaScRiPt:alert(1)", "data:text/html,x", "vbscript:x", "//host/x"]
        {
            let (prose, problems) = read(&format!("# T\n\n[go]({bad})\n"));
            assert_eq!(prose.html("", 2, &|_, _| None), "<p><a href=\"#\">go</a></p>\n", "{bad}");
            assert_eq!(problems.0[0].code, "prose-link-refused", "{bad}");
        }
        let (prose, problems) = read("# T\n\n[go](java&#10;script:alert(1))\n");
        assert!(!prose.html("", 2, &|_, _| None).contains("script:"), "{}", prose.html("", 2, &|_, _| None));
        assert!(problems.any_error() || !prose.html("", 2, &|_, _| None).contains("<a"));
    }

    #[test]
    fn a_link_inside_the_site_is_counted_from_its_root() {
        for written in ["parts/alder.html#fit", "/parts/alder.html#fit", "../parts/alder.html#fit"] {
            let (prose, problems) = read(&format!("# T\n\n[go]({written})\n"));
            assert_eq!(
                prose.html("../../", 2, &|_, _| None),
                "<p><a href=\"../../parts/alder.html#fit\">go</a></p>\n"
            );
            assert_eq!(prose.links[0].path, "parts/alder.html");
            assert!(problems.0.is_empty());
        }
    }

    #[test]
    fn a_paragraph_that_opens_with_a_signal_word_is_marked() {
        let (prose, _) = read("# T\n\n**WARNING** Stop.\n\n**Not** this.\n");
        let html = prose.html("", 2, &|_, _| None);
        assert!(
            html.starts_with("<p class=\"signal signal-warning\"><strong>WARNING</strong> Stop.</p>"),
            "{html}"
        );
        assert!(html.contains("<p><strong>Not</strong> this.</p>"), "{html}");
    }

    #[test]
    fn headings_never_skip_a_level() {
        let (prose, _) = read("# T\n\n### a\n\n##### b\n\n### c\n");
        let html = prose.html("", 3, &|_, _| None);
        assert_eq!(html, "<h3>a</h3>\n<h4>b</h4>\n<h3>c</h3>\n");
    }

    #[test]
    fn pictures_leave_only_their_words() {
        let (prose, problems) = read("# T\n\n![a clamp](https://elsewhere/x.png)\n");
        assert_eq!(prose.html("", 2, &|_, _| None), "<p>a clamp</p>\n");
        assert_eq!(problems.0[0].code, "prose-picture");
    }

    #[test]
    fn a_picture_of_a_part_is_its_drawing_and_a_dead_one_is_a_dead_link() {
        let (prose, problems) = read("# X\n\n![a ring](/parts/ring.html) closes\n");
        assert!(problems.0.is_empty(), "{problems:?}");
        assert_eq!(prose.links[0].path, "parts/ring.html");
        let drawn = |page: &str, sizes| (page == "parts/ring.html").then(|| format!("<svg>{sizes:?}</svg>"));
        let html = prose.html("../", 2, &drawn);
        assert_eq!(html, "<p><span class=\"drawn-part\"><svg>Untold</svg></span> closes</p>\n");
        let (prose, _) = read("# X\n\n![](/parts/ring.html \"sizes\")\n");
        assert!(prose.html("../", 2, &drawn).contains("<svg>Told</svg>"));
    }

    #[test]
    fn any_other_picture_is_left_out_with_a_word() {
        for target in ["ring.png", "https://example.org/parts/ring.html", "/forks/ring.html"] {
            let (prose, problems) = read(&format!("# X\n\n![a ring]({target})\n"));
            assert_eq!(problems.0.iter().map(|p| p.code).collect::<Vec<_>>(), ["prose-picture"], "{target}");
            assert_eq!(prose.html("", 2, &|_, _| Some("<svg></svg>".into())), "<p>a ring</p>\n");
        }
    }
}

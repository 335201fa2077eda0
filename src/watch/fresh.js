// Added to a page while the preview shows it: keeps the page as fresh as the book, and says what is wrong with the book
// over the last good page. The files of the site have no part of it.
(() => {
  const { made: shown, hears } = document.currentScript.dataset;
  let news, cover, hidden;

  const look = `
    :host { all: initial; }
    section { position: fixed; inset: auto 0 0 0; max-height: 60vh; overflow: auto; z-index: 2147483647; padding: 0.75rem 1rem;
      background: #fff; color: #1a1a1a; border-top: 4px solid #a4161a; box-shadow: 0 0 1rem #0006; font: 15px/1.4 sans-serif; }
    pre { margin: 0.5rem 0 0; font: 13px/1.4 monospace; white-space: pre-wrap; overflow-wrap: anywhere; }
    button { float: right; font: inherit; min-height: 2.75rem; padding: 0 1rem; }
    @media print { section { display: none; } }`;

  const element = (name, text) => Object.assign(document.createElement(name), { textContent: text });

  const takeAway = () => {
    cover?.remove();
    cover = undefined;
  };

  const tell = (title, why) => {
    takeAway();
    if (title + why === hidden) return;
    cover = document.createElement("div");
    const section = document.createElement("section");
    section.setAttribute("role", "alert");
    const close = element("button", "Hide");
    close.addEventListener("click", () => {
      hidden = title + why;
      takeAway();
    });
    section.append(close, element("strong", title), element("pre", why));
    cover.attachShadow({ mode: "open" }).append(element("style", look), section);
    document.documentElement.append(cover);
  };

  const listen = () => {
    if (news || document.hidden) return;
    news = new EventSource("/.benchleaf-preview/news");
    news.addEventListener(hears, (told) => (told.data === shown ? takeAway() : location.reload()));
    // Other pages are fresh already; what is wrong comes after it.
    news.addEventListener("behind", () => hears === "rest" && tell("This is the page before the last change; it is being made again.", ""));
    news.addEventListener("wrong", (told) => tell("This page is the last good one.", told.data));
  };

  // A browser opens few connections to one place: pages that nobody sees leave theirs to others.
  const rest = () => {
    news?.close();
    news = undefined;
  };

  document.addEventListener("visibilitychange", () => (document.hidden ? rest() : listen()));
  addEventListener("pagehide", rest);
  addEventListener("pageshow", listen);
  listen();
})();

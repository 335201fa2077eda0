//! Examples under the help of each command. Knows no command's doing.

pub const ALL: &str = "\
A first book:
  benchleaf begin my-shop          a small book that works
  benchleaf compile my-shop        then open my-shop/public/index.html
  benchleaf reference fork         what each line of a fork means

benchleaf COMMAND --help tells more, with examples.";

pub const BEGIN: &str = "\
Examples:
  benchleaf begin my-shop
  benchleaf begin my-shop --name \"Quay Wheels\" --currency GBP --units in";

pub const COMPILE: &str = "\
Examples:
  benchleaf compile                    the book in this folder, into public
  benchleaf compile my-shop
  benchleaf compile my-shop --into /srv/www/guides
  benchleaf compile --why guides/fork-heron/wide-shim.html";

pub const WATCH: &str = "\
Examples:
  benchleaf watch my-shop --preview 127.0.0.1:8080
  benchleaf watch /mnt/shop/book --poll 2      a network folder";

pub const INSPECT: &str = "\
Examples:
  benchleaf inspect my-shop
  benchleaf inspect my-shop --quick        only what is wrong, at once
  benchleaf inspect my-shop --json";

pub const PAIR: &str = "\
Examples:
  benchleaf pair heron hic                     the answer, what to buy, the steps
  benchleaf pair \"Heron fork\" \"wide shim\" --whole
  benchleaf pair fork-heron wide-shim --json
  benchleaf pair --all --json --book my-shop";

pub const ROUTE: &str = "\
Examples:
  benchleaf route --from fork-heron/wide-shim --to fork-tern/cap-in-clamp
  benchleaf route --from fork-heron/wide-shim --to fork-heron/slim-shim --have deck-plover";

pub const UNPACK: &str = "\
Examples:
  benchleaf unpack                              what comes with the program
  benchleaf unpack wide-shim --book my-shop     its rule file, to be changed
  benchleaf unpack wide-shim --as tall-shim     the same as the start of a system of your own";

pub const REFERENCE: &str = "\
Examples:
  benchleaf reference                  all kinds, entries and settings
  benchleaf reference shim
  benchleaf reference slot put_on
  benchleaf reference steerer_bore     wherever there is such a field
  benchleaf reference --schema parts > parts.schema.json";

pub const IDS: &str = "\
Examples:
  benchleaf ids my-shop
  benchleaf ids fork";

pub const COMPLETIONS: &str = "\
Examples:
  benchleaf completions bash > ~/.local/share/bash-completion/completions/benchleaf
  benchleaf completions fish > ~/.config/fish/completions/benchleaf.fish
  benchleaf manual > benchleaf.1";

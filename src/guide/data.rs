//! A pairing as data: every length tied to the named dimensions it comes from, so that another program can
//! build the stack again. Must not word anything: the words are the guide's.

use serde_json::{Map, Value as Json, json};

use super::bench::{Bench, Book};
use super::build::{least_favourable, promise};
use super::data_coming::{coming, decks};
use super::data_words::{of_verdict, outcome, put_on, supply_word, verdict};
use super::measuring::{self, After};
use super::numbers;
use super::page::{BarsRow, Guide, GuideAnswer, RevisionText};
use super::reason;
use super::supply;
use crate::assembly::{
    Check, Contact, ItemDim, ItemIx, MateWith, Mating, Placed, PlacedColumn, PlacedSegment, PlacedWall,
    Support, Supposed, Value,
};
use crate::catalogue::VariantIx;
use crate::quantity::{Ends, Form, ONE};
use crate::solve::{
    Answer, Article, HeadTube, InBox, Instead, ReadWhat, Reading, TryOut, TryWhat, Wanted, Whose,
};

/// The least favourable answer; where several revisions have answers of their own, all of them in full under `revisions`,
/// and where it depends on them, under `by_revision`, too.
pub fn pairing_json(book: &Book, answers: &[Answer], guide: &Guide) -> Json {
    let object = |answer: &Answer, told: &GuideAnswer| pairing(&Bench::new(*book, answer), told);
    let worst = &guide.answers[least_favourable(guide.answers.iter().map(promise))];
    let mut main = object(&answers[worst.answer], worst);
    if guide.depends {
        main.insert("verdict".to_owned(), json!("depends"));
        main.insert("supply".to_owned(), Json::Null);
        let all = guide.answers.iter().map(|told| {
            let mut one = Map::from_iter([("revision".to_owned(), revisions(&told.revisions))]);
            one.extend(object(&answers[told.answer], told));
            Json::Object(one)
        });
        main.insert("by_revision".to_owned(), Json::Array(all.collect()));
    }
    let with_bars =
        |b: &BarsRow| json!({ "bars": b.part_id, "verdict": bars_word(b), "text": b.words, "page": b.page });
    main.insert("bars".to_owned(), Json::Array(guide.bars.iter().map(with_bars).collect()));
    let all_told = if guide.apart.is_empty() { &guide.answers } else { &guide.apart };
    if all_told.len() > 1 {
        let all = all_told.iter().map(|told| {
            let answer = &answers[told.answer];
            let mut one = object(answer, told);
            let revision = book.catalogue.variant(answer.fork).revision.as_ref().map(|r| r.id.clone());
            one.insert("fork_revision".to_owned(), json!(revision));
            Json::Object(one)
        });
        main.insert("revisions".to_owned(), Json::Array(all.collect()));
    }
    Json::Object(main)
}

fn bars_word(row: &BarsRow) -> &'static str {
    match row {
        BarsRow { unsettled: true, .. } => "unsettled",
        BarsRow { depends: true, .. } => "depends",
        row => of_verdict(row.verdict),
    }
}

/// What an answer is for: the first thing, and whatever else has to be so as well under `and`.
fn revisions(all: &[RevisionText]) -> Json {
    let one = |r: &RevisionText| json!({ "part": r.part_id, "id": r.id, "label": r.label, "tell": r.tell });
    let Some((first, rest)) = all.split_first() else { return Json::Null };
    let mut told = one(first);
    if !rest.is_empty() {
        told["and"] = rest.iter().map(one).collect();
    }
    told
}

fn pairing(bench: &Bench, told: &GuideAnswer) -> Map<String, Json> {
    let answer = bench.answer;
    let data = Data { bench, ends: bench.ends() };
    let mut object = Map::new();
    let mut put = |key: &str, value: Json| {
        object.insert(key.to_owned(), value);
    };
    put("format", json!(1));
    put("fork", json!(bench.book.catalogue.part_of(answer.fork).id));
    put("system", json!(bench.rule.id));
    put("verdict", json!(verdict(answer)));
    put("supply", json!(answer.supply.map(supply_word)));
    put("dims", data.dims());
    put("placed", Json::Array(bench.items().map(|(item, placed)| data.placed(item, placed)).collect()));
    put("pushed", data.names(&answer.stack.pushed));
    put("checks", Json::Array(answer.stack.checks.iter().map(|check| data.check(check)).collect()));
    put("head_tube", Json::Array(answer.head_tube.iter().map(|tube| data.head_tube(tube)).collect()));
    put("buy", data.buy());
    put(
        "use",
        json!(told.use_from.iter().map(|u| json!({ "id": u.part_id, "from": u.box_id })).collect::<Vec<_>>()),
    );
    put(
        "leave",
        json!(
            told.leave
                .iter()
                .map(|l| json!({ "id": l.part_id, "of": l.box_id, "why": l.why }))
                .collect::<Vec<_>>()
        ),
    );
    put("measure", Json::Array(answer.readings.iter().map(|reading| data.reading(reading)).collect()));
    put("try", Json::Array(answer.tries.iter().map(|tried| data.try_out(tried)).collect()));
    put("reason", Json::Array(answer.reason.iter().map(|check| data.reason(check)).collect()));
    put("wanted", Json::Array(answer.wanted.iter().map(|wanted| data.wanted(wanted)).collect()));
    put("steps", data.steps(told));
    put("changes", super::changing::json(bench, &answer.changes));
    put("last_resort", super::changing::resort_json(bench));
    put("coming_from", coming(&told.coming));
    put("windows", data.windows());
    put("funnel", json!(told.funnel));
    put("before_riding", json!(super::steps::before_riding(bench, &mut Default::default())));
    put("unfinished", json!(answer.unfinished));
    put("reason_smallest", json!(answer.reason_smallest));
    put("merged", json!(answer.stack.merged));
    put("boxed", data.boxed());
    put("if_in_stock", data.instead(answer.if_in_stock.as_deref()));
    put("if_on_hand", data.instead(answer.if_on_hand.as_deref()));
    put("decks", decks(&told.decks));
    object
}

struct Data<'b, 'a> {
    bench: &'b Bench<'a>,
    ends: Vec<Ends>,
}

impl Data<'_, '_> {
    fn name(&self, item: ItemIx) -> Json {
        json!(self.bench.stack().items.get(usize::from(item.0)).map(|placed| placed.name.as_str()))
    }

    fn names(&self, items: &[ItemIx]) -> Json {
        Json::Array(items.iter().map(|&item| self.name(item)).collect())
    }

    /// `shim.outside`
    fn dim_name(&self, dim: &ItemDim) -> String {
        format!("{}.{}", self.bench.item(dim.item).name, dim.name)
    }

    fn dims(&self) -> Json {
        let entry = |dim: &ItemDim| {
            let Ends { nominal, least, most } = dim.ends;
            let value = json!({
                "nominal": nominal, "least": least, "most": most,
                "source": dim.origin.word(), "written": dim.written,
            });
            (self.dim_name(dim), value)
        };
        Json::Object(self.bench.stack().dims.iter().map(entry).collect())
    }

    /// `way_up` is the plan's; `either_way`: turned over, together with any others of which it is said, all checks
    /// come out the same.
    fn placed(&self, item: ItemIx, placed: &Placed) -> Json {
        let variant = self.bench.variant(placed.variant);
        json!({
            "item": placed.name,
            "slot": self.bench.rule.slot(placed.slot).name,
            "part": self.bench.part(variant.part).id,
            "revision": variant.revision.as_ref().map(|r| r.id.as_str()),
            "way_up": if placed.turned { "turned" } else { "as-drawn" },
            "put_on": put_on(placed.put_on),
            "rides_with": placed.rides_with.map(|item| self.name(item)),
            "turns": !placed.still,
            "landing": placed.landing.as_ref().map(|value| self.value(value)),
            "rests_on": placed.rests_on.iter().map(|s| self.support(s)).collect::<Vec<_>>(),
            "half_section": placed.columns.iter().map(|c| self.column(c)).collect::<Vec<_>>(),
            "mates": placed.mates.iter().map(|m| self.mate(m)).collect::<Vec<_>>(),
            "height": self.form(&placed.height),
            "still_columns": placed.still_columns,
            "changed": super::changing::id_of(self.bench, placed.variant),
            "either_way": self.bench.either_way(item),
        })
    }

    fn support(&self, support: &Support) -> Json {
        json!({
            "item": self.name(support.item),
            "surface": support.surface,
            "certain": support.certain,
            "column": support.column,
            "own_column": support.own_column,
            "contact": match support.contact {
                Contact::Flat => "flat",
                Contact::Cone => "cone",
                Contact::Edge => "edge",
            },
        })
    }

    fn column(&self, column: &PlacedColumn) -> Json {
        let segments: Vec<Json> = column.segments.iter().map(|s| self.segment(s)).collect();
        json!({ "column": column.name, "start": self.form(&column.start), "segments": segments })
    }

    fn segment(&self, segment: &PlacedSegment) -> Json {
        json!({
            "length": self.form(&segment.length),
            "bore": self.wall(&segment.bore),
            "outside": self.wall(&segment.outside),
            "bore_surface": segment.bore.surface,
            "outside_surface": segment.outside.surface,
            "outside_root": segment.outside.root.as_ref().map(|root| self.form(root)),
        })
    }

    fn wall(&self, wall: &PlacedWall) -> Json {
        Json::Array(wall.diameter.iter().map(|form| self.form(form)).collect())
    }

    fn mate(&self, mate: &MateWith) -> Json {
        let how = match mate.how {
            Mating::Thread => "thread",
            Mating::Press => "press",
            Mating::SplitRing => "split-ring",
        };
        json!({ "with": self.name(mate.item), "how": how, "surface": mate.surface })
    }

    fn form(&self, form: &Form) -> Json {
        json!({
            "nominal": form.nominal(&self.ends),
            "least": form.least(&self.ends),
            "most": form.most(&self.ends),
            "form": self.terms(form),
        })
    }

    fn value(&self, value: &Value) -> Json {
        let mut length = json!({ "nominal": value.nominal, "least": value.least, "most": value.most });
        if let Some(form) = &value.form {
            length["form"] = self.terms(form);
        }
        length
    }

    fn terms(&self, form: &Form) -> Json {
        let dims = &self.bench.stack().dims;
        let term = |&(dim, times): &(u32, i64)| (self.dim_name(&dims[dim as usize]), coefficient(times));
        let terms: Map<String, Json> = form.terms.iter().map(term).collect();
        let mut written = json!({ "const": form.constant, "terms": terms });
        if form.slack != 0 {
            written["slack"] = json!(form.slack);
        }
        written
    }

    fn check(&self, check: &Check) -> Json {
        let dims = &self.bench.stack().dims;
        let assumes: Vec<String> =
            check.assumes.iter().filter_map(|&d| dims.get(d as usize)).map(|d| self.dim_name(d)).collect();
        let wish =
            self.bench.rule.limits.gap_wish.filter(|_| check.demand == crate::assembly::Demand::GapLeast);
        json!({
            "check": check.demand.word(),
            "about": self.names(&check.about),
            "wish": wish.map(|most| json!({ "most": most.as_nm() })),
            "value": check.value.as_ref().map(|value| self.value(value)),
            "limit": { "least": check.least, "most": check.most },
            "outcome": outcome(check.outcome),
            "assumes": assumes,
            "surfaces": check.surfaces,
            "supposes": check.supposes.iter().map(|supposed| self.supposed(supposed)).collect::<Vec<_>>(),
            "tried": check.tried.and_then(|trial| self.tried(trial)),
        })
    }

    fn supposed(&self, supposed: &Supposed) -> Json {
        match supposed {
            Supposed::BoltClass { of, class } => {
                json!({ "item": self.name(*of), "what": "property-class", "taken": class.to_string() })
            }
            Supposed::NutMaterial { of, material } => {
                json!({ "item": self.name(*of), "what": "material", "taken": material })
            }
        }
    }

    fn tried(&self, trial: usize) -> Option<Json> {
        let trial = self.bench.book.catalogue.trials.get(trial)?;
        Some(json!({ "slides": trial.slides, "by": trial.by, "day": trial.day }))
    }

    /// A check of another stack than the one shown says nothing about this one's items.
    fn reason(&self, check: &Check) -> Json {
        let mut told = match numbers::is_shown(self.bench, check) {
            true => self.check(check),
            false => {
                let value = check.value.as_ref().map(|value| Value { form: None, ..value.clone() });
                let (about, assumes, supposes) = (vec![], vec![], vec![]);
                self.check(&Check { about, assumes, supposes, value, ..check.clone() })
            }
        };
        told["text"] = json!(numbers::fact(self.bench, check));
        told
    }

    fn head_tube(&self, tube: &HeadTube) -> Json {
        let with: Vec<&str> =
            tube.with.iter().map(|&ix| self.bench.book.catalogue.part_of(ix).id.as_str()).collect();
        json!({ "least": tube.least, "most": tube.most, "with": with })
    }

    fn buy(&self) -> Json {
        let rows = self.bench.answer.buy.iter().map(|buy| {
            let id = supply::article(self.bench, buy.article).0;
            let revision = match buy.article {
                Article::Part(v) => self.bench.variant(v).revision.as_ref().map(|r| r.id.as_str()),
                Article::Box(_) => None,
            };
            json!({ "id": id, "count": buy.count, "price": buy.price.map(|p| p.plain()), "revision": revision })
        });
        Json::Array(rows.collect())
    }

    /// What is taken to be in boxes that do not say which revision of a part they hold.
    fn boxed(&self) -> Json {
        let catalogue = self.bench.book.catalogue;
        let revision = |v| catalogue.variant(v).revision.as_ref().map(|r| r.id.as_str());
        let one = |held: &InBox| {
            let pieces: Vec<Json> =
                held.pieces.iter().map(|&(v, n)| json!({ "revision": revision(v), "count": n })).collect();
            let (part, the_box) = (catalogue.part(held.part), catalogue.the_box(held.of));
            json!({ "box": the_box.id, "owned": held.whose == Whose::Own, "part": part.id, "pieces": pieces })
        };
        Json::Array(self.bench.answer.boxed.iter().map(one).collect())
    }

    fn instead(&self, plan: Option<&Instead>) -> Json {
        let part = |v: &VariantIx| self.bench.book.catalogue.part_of(*v).id.as_str();
        let missing = |a: &Article| supply::article(self.bench, *a).0;
        json!(plan.map(|plan| json!({
            "parts": plan.parts.iter().map(part).collect::<Vec<_>>(),
            "spend": plan.spend.known.plain(),
            "unpriced": plan.spend.unpriced,
            "missing": plan.missing.iter().map(missing).collect::<Vec<_>>(),
        })))
    }

    fn reading(&self, reading: &Reading) -> Json {
        let what = match reading.what {
            ReadWhat::Dim(dim) => self.bench.stack().dims.get(dim as usize).map(|d| self.dim_name(d)),
            ReadWhat::Pair { one, other, sum } => {
                let name = |dim: u32| self.bench.stack().dims.get(dim as usize).map(|d| self.dim_name(d));
                let sign = if sum { "+" } else { "-" };
                name(one).zip(name(other)).map(|(one, other)| format!("{one} {sign} {other}"))
            }
            ReadWhat::Reach { item, into, .. } => {
                let name = |item: ItemIx| &self.bench.item(item).name;
                Some(format!("{} into {}", name(item), name(into)))
            }
            ReadWhat::DryBuild(check) => {
                self.bench.stack().checks.get(check).map(|c| c.demand.word().to_owned())
            }
        };
        json!({
            "what": what,
            "go_from": reading.go_from,
            "go_to": reading.go_to,
            "caliper": reading.caliper,
            "order": reading.order,
            "no_below": reading.no_below,
            "no_above": reading.no_above,
            "dry_build": matches!(reading.what, ReadWhat::DryBuild(_) | ReadWhat::Reach { .. }),
            "decides": reading.decides,
            "undecided_per_mille": reading.undecided,
            "checks": reading.checks,
            "text": measuring::step(self.bench, reading, After::Unsaid).map(|step| step.text),
        })
    }

    fn try_out(&self, tried: &TryOut) -> Json {
        let what = match tried.what {
            TryWhat::Slides(_) => "slides",
            TryWhat::Seen(_) => "seen-on-dry-build",
            TryWhat::DryBuild => "dry-build",
        };
        json!({ "what": what, "checks": tried.checks, "text": measuring::try_out(self.bench, tried, After::Unsaid).text })
    }

    fn wanted(&self, wanted: &Wanted) -> Json {
        let range = |(name, least, most): &(String, Option<i64>, Option<i64>)| {
            (name.clone(), json!({ "least": least, "most": most }))
        };
        let ranges: Map<String, Json> = wanted.ranges.iter().map(range).collect();
        let like = wanted.like.map(|ix| self.bench.book.catalogue.part_of(ix).id.as_str());
        json!({
            "slot": self.bench.rule.slot(wanted.slot).name,
            "kind": wanted.kind,
            "ranges": ranges,
            "like": like,
            "text": reason::wanted(self.bench, wanted),
        })
    }

    fn steps(&self, told: &GuideAnswer) -> Json {
        let one = |step: &super::page::GuideStep| json!({ "text": step.text, "item": step.item.map(|item| self.name(item)), "id": step.id, "held": step.held });
        Json::Array(told.steps.iter().map(one).collect())
    }

    fn windows(&self) -> Json {
        let one = |window: &crate::assembly::Window| {
            let depth = window.depth.map(|(least, most)| json!({ "least": least, "most": most }));
            json!({
                "item": self.name(window.item),
                "lowest": window.lowest, "highest": window.highest, "depth": depth,
            })
        };
        Json::Array(self.bench.stack().windows.iter().map(one).collect())
    }
}

/// Millionths as a number: whole ones without a point.
fn coefficient(times: i64) -> Json {
    if times % ONE == 0 { json!(times / ONE) } else { json!(times as f64 / ONE as f64) }
}

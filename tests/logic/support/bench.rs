//! A bench to test with: a session on a cruel disk, readings typed at it, and what came of them.

use std::sync::Arc;

use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::journal::{
    Event, GaugeSource, Moment, Outcome, Report, SessionOpened, StorageFolder, VerdictGiven,
};
use fitledger::measure::VerdictWord;
use fitledger::quantity::{Angle, Length, LengthUnit};
use fitledger::session::{
    Check, Command, End, Incoming, OpeningError, Recorder, Replayed, Setup, State, Taken,
    open_session, replay, session_parts,
};

use super::cruel_disk::CruelDisk;

pub(crate) const NAME: &str = "session.jsonl";

/// A micrometer good enough to prove `20 k6`, with a study of its repeatability; a caliper that
/// is not; one of which nothing is known; and a comparator.
pub(crate) const GAUGES: &str = "\
[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
mpe = 0.002\nrepeatability = 0.0005\n\
[[gauge]]\nid = \"plain-mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
mpe = 0.002\n\
[[gauge]]\nid = \"caliper\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\nmpe = 0.03\n\
[[gauge]]\nid = \"comparator\"\nkind = \"bore_gauge\"\nrange = [-0.5, 0.5]\nresolution = 0.001\n\
calibration = { U = 0.002, k = 2 }\nreads = \"deviation\"\nset_on = \"ring\"\n\
[[gauge]]\nid = \"ring\"\nkind = \"setting_ring\"\nrange = 20.000\n\
[[gauge]]\nid = \"protractor\"\nkind = \"protractor\"\n";

/// A session on that plan; the readings come from `mic` unless said.
pub(crate) fn plan(text: &str) -> SessionOpened {
    let source = |gauge: &str| GaugeSource {
        gauge: gauge.to_owned(),
        source: "typed".to_owned(),
        adapter: String::new(),
        repeat_ms: if gauge == "caliper" { 300 } else { 0 },
    };
    SessionOpened {
        program: "test".to_owned(),
        plan_name: "test.toml".to_owned(),
        plan: Some(format!("[part]\nname = \"Pump shaft\"\n{text}")),
        gauges: GAUGES.to_owned(),
        operator: "Ada".to_owned(),
        sources: vec![source("mic"), source("caliper"), source("comparator")],
        offset: "+01:00".to_owned(),
        ..SessionOpened::default()
    }
}

/// One feature of the plan, with more keys behind its id and callout.
pub(crate) fn feature(id: &str, callout: &str, more: &str) -> String {
    format!("[[feature]]\nid = \"{id}\"\ncallout = \"{callout}\"\n{more}\n")
}

pub(crate) fn moment_at(mono_ms: u64) -> Moment {
    let start: jiff::Timestamp = "2026-11-24T08:00:00Z".parse().unwrap();
    let passed = i64::try_from(mono_ms).unwrap();
    Moment {
        time: start + jiff::SignedDuration::from_millis(passed),
        mono_ms,
    }
}

/// A reading in millimetres as typed.
pub(crate) fn typed(gauge: &str, text: &str) -> Reading {
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    Reading {
        gauge: GaugeId::new(gauge),
        observed: Observed::Length(Length::parse_mm(text).unwrap()),
        shown: Shown {
            unit: LengthUnit::Millimetre,
            decimals: u8::try_from(decimals).unwrap(),
            minus: text.starts_with('-'),
        },
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: text.as_bytes().to_vec(),
        rounded: false,
    }
}

pub(crate) fn typed_angle(gauge: &str, text: &str) -> Reading {
    Reading {
        observed: Observed::Angle(Angle::parse(text).unwrap()),
        raw: text.as_bytes().to_vec(),
        ..typed(gauge, "0")
    }
}

/// The bench.
pub(crate) struct Bench {
    pub(crate) recorder: Recorder<CruelDisk>,
    pub(crate) disk: CruelDisk,
    pub(crate) now_ms: u64,
    /// Everything that was told to be on the disk.
    pub(crate) told: Vec<Event>,
}

impl Bench {
    pub(crate) fn new(opened: SessionOpened) -> Self {
        Self::on(CruelDisk::default(), opened).unwrap()
    }

    pub(crate) fn on(disk: CruelDisk, opened: SessionOpened) -> Result<Self, OpeningError> {
        let recorder = open_session(&disk, |_| NAME.to_owned(), opened, moment_at(0))?;
        Ok(Self {
            recorder,
            disk,
            now_ms: 0,
            told: Vec::new(),
        })
    }

    pub(crate) fn state(&self) -> &State {
        self.recorder.state()
    }

    /// A second later.
    pub(crate) fn later(&mut self) -> Moment {
        self.now_ms += 1_000;
        moment_at(self.now_ms)
    }

    pub(crate) fn take(&mut self, incoming: Vec<Incoming>) -> Taken {
        let moment = self.later();
        let batch = incoming.into_iter().map(|one| (moment, one)).collect();
        let taken = self.recorder.take(batch);
        self.told
            .extend(taken.recorded.iter().map(|one| one.event.clone()));
        taken
    }

    /// What a reading of a gauge came to, with everything recorded meanwhile.
    pub(crate) fn events(&mut self, gauge: &str, text: &str) -> Vec<Event> {
        let taken = self.take(vec![Incoming::Reading(typed(gauge, text))]);
        assert_eq!(
            (taken.failure, taken.undecided),
            (None, Vec::new()),
            "{text}"
        );
        taken.recorded.into_iter().map(|one| one.event).collect()
    }

    /// The word of what a reading of `mic` came to.
    pub(crate) fn reads(&mut self, text: &str) -> String {
        self.reads_with("mic", text)
    }

    pub(crate) fn reads_with(&mut self, gauge: &str, text: &str) -> String {
        let events = self.events(gauge, text);
        let (first, last) = (events.first(), events.last());
        assert!(
            matches!(first, Some(Event::ReadingReceived(_))),
            "{events:?}"
        );
        last.map(word).unwrap()
    }

    /// The verdict that a reading came to.
    pub(crate) fn verdict(&mut self, gauge: &str, text: &str) -> VerdictGiven {
        match self.events(gauge, text).pop() {
            Some(Event::VerdictGiven(verdict)) => std::sync::Arc::unwrap_or_clone(verdict),
            other => panic!("{text}: {other:?}"),
        }
    }

    /// Carries a request out, which must be possible.
    pub(crate) fn asks(&mut self, command: Command) -> Vec<Event> {
        let taken = self.take(vec![Incoming::Command(command)]);
        assert_eq!((taken.refused, taken.failure), (Vec::new(), None));
        taken.recorded.into_iter().map(|one| one.event).collect()
    }

    /// The word of the refusal of a request.
    pub(crate) fn refuses(&mut self, command: Command) -> &'static str {
        let mut taken = self.take(vec![Incoming::Command(command)]);
        assert!(taken.recorded.is_empty(), "{taken:?}");
        taken.refused.pop().unwrap().1.code()
    }

    pub(crate) fn void(&mut self, reading: Option<u64>) -> Vec<Event> {
        let reason = "tilted".to_owned();
        self.asks(Command::VoidReading { reading, reason })
    }

    /// Sequence numbers of the readings so far.
    pub(crate) fn readings(&self) -> Vec<u64> {
        let all = self.state().readings().iter();
        all.map(|record| record.sequence).collect()
    }

    pub(crate) fn ends(&self) -> Vec<End> {
        self.state()
            .readings()
            .iter()
            .map(|record| record.end)
            .collect()
    }

    /// The record, read again and checked.
    pub(crate) fn replayed(&self) -> (Vec<Report>, Replayed) {
        replayed(&self.disk, self.recorder.journal())
    }

    /// The record is sound, nothing in it is at fault, and it gives the state at hand.
    pub(crate) fn check(&self) {
        let (reports, replayed) = self.replayed();
        let findings: Vec<_> = reports.iter().flat_map(|report| &report.findings).collect();
        assert!(findings.iter().all(|one| one.is_notice()), "{findings:?}");
        assert_eq!(replayed.faults, Vec::new());
        let again = replayed.state.unwrap();
        assert_eq!(picture(&again), picture(self.state()));
    }
}

/// Everything of a state but what it rests on.
pub(crate) fn picture(state: &State) -> String {
    let waiting = (state.waiting(), state.next_pending(), state.held_reading());
    let (parts, readings, bench) = (state.parts(), state.readings(), state.bench());
    let closed = state.is_closed();
    let zeros = (state.zeros(), state.signatures(), state.study());
    format!("{parts:?}\n{readings:?}\n{bench:?}\n{waiting:?}\n{closed:?}\n{zeros:?}")
}

pub(crate) fn replayed(disk: &CruelDisk, name: &str) -> (Vec<Report>, Replayed) {
    let parts = session_parts(disk, name).unwrap();
    replay(&parts, |part| disk.open_read(&part.name), Check::Verdicts).unwrap()
}

/// What an event says, in one word.
pub(crate) fn word(event: &Event) -> String {
    match event {
        Event::VerdictGiven(verdict) => match verdict.outcome {
            Outcome::Inside => "inside".to_owned(),
            Outcome::Noted => "noted".to_owned(),
            Outcome::Verdict(VerdictWord::Go) => "GO".to_owned(),
            Outcome::Verdict(VerdictWord::NoGo) => format!("NO-GO {}", verdict.side.word()),
            Outcome::Verdict(VerdictWord::Doubt) => "DOUBT".to_owned(),
        },
        Event::ReadingHeld { cause, .. } => format!("held {cause}"),
        other => other.kind().to_owned(),
    }
}

/// The state at the start of such a session.
pub(crate) fn fresh(opened: &SessionOpened) -> State {
    State::new(Arc::new(Setup::of(opened).unwrap()))
}

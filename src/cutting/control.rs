//! How a control wants its programs: the dialect as data, from the shop's file or the two invented examples that ship with the program.

use super::CuttingError;
use crate::json::{Problem, Problems, read_json};
use serde::Deserialize;

/// The file that ships with the program, also the pattern of a shop's own.
pub const BUILT_IN: &str = include_str!("../../templates/control.json");

/// The controls of a shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Controls {
    /// For the profile.
    pub turning: Control,
    /// For grooves.
    pub grooving: Control,
    /// The shop's dividing head.
    pub head: DividingHead,
    /// The file's text, for whoever keeps what programs were written by.
    pub text: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    #[serde(rename = "about")]
    _about: Option<String>,
    controls: Vec<Control>,
    dividing_head: Option<DividingHead>,
}

/// A dividing head: turns of its crank for one turn of the wheel, and its plates of holes.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DividingHead {
    /// Turns of the crank for one turn of the wheel.
    pub ratio: u32,
    /// Its plates.
    pub plates: Vec<Plate>,
}

/// A plate of a dividing head.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// What is stamped on it.
    pub name: String,
    /// Counts of holes of its circles.
    pub circles: Vec<u32>,
}

/// Most turns of a crank, and most holes of a circle.
const MOST_RATIO: u32 = 1000;
const MOST_HOLES: u32 = 1000;

impl DividingHead {
    fn wrong(&self) -> Option<String> {
        let circles: Vec<u32> = self.plates.iter().flat_map(|p| p.circles.iter().copied()).collect();
        let holds = (1..=MOST_RATIO).contains(&self.ratio)
            && !circles.is_empty()
            && circles.iter().all(|c| (1..=MOST_HOLES).contains(c));
        (!holds).then(|| {
            format!("a dividing head has a ratio of 1 to {MOST_RATIO} and plates with circles of 1 to {MOST_HOLES} holes")
        })
    }
}

/// How a block that many grooves share is written once and called.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Repeat {
    /// The line before it, behind the program's end.
    pub define: String,
    /// The line behind it.
    pub end: String,
    /// The words that call it.
    pub call: String,
}

/// What a control is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cuts {
    /// The profile.
    Turning,
    /// Grooves, the wheel on a dividing axis.
    Grooving,
}

/// One control's dialect.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Control {
    /// Its name, for the program's head.
    pub name: String,
    /// What it is for.
    pub cuts: Cuts,
    /// Lines before everything.
    #[serde(default)]
    pub start: Vec<String>,
    /// The first blocks: units, absolute or incremental, plane.
    #[serde(default)]
    pub modes: Vec<String>,
    /// The program's end; what is no word of letter and number stands without a line number.
    pub end: Vec<String>,
    /// A stop for the setter.
    #[serde(default = "stop")]
    pub stop: String,
    /// Form of comments.
    #[serde(default)]
    pub comment: Comment,
    /// Line numbers; 4 digits where nothing is said.
    #[serde(default)]
    pub numbering: Numbering,
    /// Whether lengths count from the place before.
    #[serde(default)]
    pub incremental: bool,
    /// Letters of the axes.
    #[serde(default)]
    pub axes: Axes,
    /// Whether the radial word of a lathe is a diameter.
    #[serde(default)]
    pub radial_is_diameter: bool,
    /// Which way a lathe's axial word grows.
    #[serde(default)]
    pub axial: Axial,
    /// Whether the wheel stays on its spindle, as on a dressing machine: the bore is not cut, nothing is chucked anew.
    #[serde(default)]
    pub wheel_stays: bool,
    /// Decimals of lengths.
    #[serde(default = "decimals")]
    pub decimals: usize,
    /// Decimal sign.
    #[serde(default = "separator")]
    pub separator: char,
    /// How a repeated block is written; where it is absent every groove is written out.
    pub repeat: Option<Repeat>,
    /// Feed; without one no program is written.
    pub feed: Option<Feed>,
    /// How the spindle is started; nothing is started where it is absent.
    pub spindle: Option<Spindle>,
}

fn stop() -> String {
    String::from("M0")
}

fn decimals() -> usize {
    4
}

fn separator() -> char {
    '.'
}

/// Form of comments.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Comment {
    /// Before a comment.
    pub open: String,
    /// Behind it; empty where the line's end ends it.
    pub close: String,
    /// Most characters between.
    pub longest: usize,
}

impl Default for Comment {
    fn default() -> Comment {
        Comment { open: String::from("("), close: String::from(")"), longest: 68 }
    }
}

/// Line numbers.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbering {
    /// The letter.
    pub letter: char,
    /// From number to number, where the digits allow it.
    pub step: u32,
    /// Most digits.
    #[serde(default = "digits")]
    pub digits: u32,
}

fn digits() -> u32 {
    4
}

impl Default for Numbering {
    fn default() -> Numbering {
        Numbering { letter: 'N', step: 10, digits: digits() }
    }
}

/// Letters of the axes; a machine uses those it has.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Axes {
    /// Lathe: the radius or diameter.
    pub radial: char,
    /// Lathe: along the wheel's axis.
    pub axial: char,
    /// Lathe: from an arc's start to its centre, along the radius.
    pub centre_radial: char,
    /// Lathe: from an arc's start to its centre, along the axis.
    pub centre_axial: char,
    /// Slotting machine: along the groove.
    pub along: char,
    /// Slotting machine: across it.
    pub across: char,
    /// Slotting machine: into the wheel.
    pub depth: char,
    /// Slotting machine: the dividing axis.
    pub dividing: char,
}

impl Default for Axes {
    fn default() -> Axes {
        Axes {
            radial: 'X',
            axial: 'Z',
            centre_radial: 'I',
            centre_axial: 'K',
            along: 'X',
            across: 'Y',
            depth: 'Z',
            dividing: 'C',
        }
    }
}

/// Which way a lathe's axial word grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Axial {
    /// Out of the side that is cut, away from the chuck.
    #[default]
    OutOfWheel,
    /// Into the side that is cut, towards the chuck.
    IntoWheel,
}

/// The feed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// The word that sets its unit; empty for none.
    #[serde(default)]
    pub mode: String,
    /// Its letter.
    pub letter: char,
    /// Its value, in `unit`.
    pub value: f64,
    /// Its unit, for the head.
    pub unit: String,
}

/// The start of a spindle.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spindle {
    /// The word that starts it, such as M3.
    pub start: String,
    /// The speed's letter.
    pub letter: char,
    /// The wheel's speed, 1/min; never above what the blank's mark allows.
    pub rpm: f64,
}

impl Controls {
    /// The two invented examples.
    ///
    /// # Errors
    /// Never in a program whose tests have passed: they read the embedded file.
    pub fn built_in() -> Result<Controls, Problems> {
        Controls::read(BUILT_IN)
    }

    /// The controls of a shop's file.
    ///
    /// # Errors
    /// What is wrong with the file, with its place.
    pub fn read(text: &str) -> Result<Controls, Problems> {
        let (value, places) = read_json(text)?;
        let refused = |field: &str, message: String| {
            places.locate_all(vec![Problem::new(field, message, "begin with the file that ships with the program")])
        };
        let file: File =
            serde_json::from_value(value).map_err(|e| refused("", format!("these are no controls: {e}")))?;
        if file.format != 1 {
            return Err(refused("/format", format!("format {} is not known here; 1 is", file.format)));
        }
        for (i, control) in file.controls.iter().enumerate() {
            if let Some(wrong) = control.wrong() {
                return Err(refused(&format!("/controls/{i}"), wrong));
            }
        }
        if let Some(wrong) = file.dividing_head.as_ref().and_then(DividingHead::wrong) {
            return Err(refused("/dividing_head", wrong));
        }
        let head = match file.dividing_head {
            Some(head) => head,
            None if text == BUILT_IN => return Err(refused("/dividing_head", String::from("there is no dividing head"))),
            None => Controls::built_in()?.head,
        };
        let of = |cuts: Cuts| file.controls.iter().find(|c| c.cuts == cuts).cloned();
        let missing = |word: &str| refused("/controls", format!("there is no control for {word}"));
        Ok(Controls {
            turning: of(Cuts::Turning).ok_or_else(|| missing("turning"))?,
            grooving: of(Cuts::Grooving).ok_or_else(|| missing("grooving"))?,
            head,
            text: text.to_owned(),
        })
    }
}

impl Control {
    /// What is wrong with it; `None` where it can be written for.
    fn wrong(&self) -> Option<String> {
        let feed = self.feed.as_ref().is_some_and(|f| !(f.value > 0.0 && f.value.is_finite()));
        if feed {
            return Some(String::from("the feed is above 0, or absent"));
        }
        if self.numbering.step == 0 || !(1..=9).contains(&self.numbering.digits) {
            return Some(String::from("numbering has a step of at least 1 and 1 to 9 digits"));
        }
        if !(2..=6).contains(&self.decimals) || !matches!(self.separator, '.' | ',') {
            return Some(String::from("lengths have 2 to 6 decimals behind `.` or `,`"));
        }
        if let Some(r) = &self.repeat {
            let words = [&r.define, &r.end, &r.call];
            let alone = |(i, w): (usize, &&String)| !w.trim().is_empty() && !words[..i].contains(w) && !self.end.contains(w);
            if !words.iter().enumerate().all(alone) {
                return Some(String::from("`repeat` has three different texts: `define`, `end` and `call`"));
            }
        }
        if self.comment.longest < 20 || self.comment.open.is_empty() {
            return Some(String::from("comments have an opening sign and at least 20 characters"));
        }
        None
    }

    /// The greatest line number.
    pub fn last_number(&self) -> u32 {
        10_u32.pow(self.numbering.digits) - 1
    }

    /// The feed, or a question where none is given.
    ///
    /// # Errors
    /// Where the control has no feed.
    pub fn feed(&self) -> Result<&Feed, CuttingError> {
        self.feed.as_ref().ok_or_else(|| CuttingError::Needs {
            message: format!(
                "what feed is to be written for the {}? The shop's file of controls names none",
                self.name
            ),
            hint: String::from("give `feed` of this control in the file that --control names"),
        })
    }
}

//! Every text of a chart, so that charts in another language are one more [`ChartWords`]. Gaps
//! such as `{n}` are filled in.

/// The texts of charts in one language.
#[derive(Debug, Clone, Copy)]
pub struct ChartWords {
    /// The counting axis: parts.
    pub part: &'static str,
    /// The counting axis: values of a list.
    pub value_number: &'static str,
    /// The counting axis: subgroups.
    pub subgroup: &'static str,
    /// The axis of values.
    pub value: &'static str,
    /// The axis of a histogram: how many.
    pub how_many: &'static str,
    /// The axis of capability.
    pub index: &'static str,

    /// Kind of chart.
    pub run: &'static str,
    /// Kind of chart.
    pub single_values: &'static str,
    /// Kind of chart.
    pub moving_ranges: &'static str,
    /// Kind of chart.
    pub means: &'static str,
    /// Kind of chart.
    pub ranges: &'static str,
    /// Kind of chart.
    pub deviations: &'static str,
    /// Kind of chart.
    pub histogram: &'static str,
    /// Kind of chart.
    pub capability: &'static str,
    /// Kind of chart.
    pub trend: &'static str,

    /// The vertical axis of that chart.
    pub moving_range: &'static str,
    /// The vertical axis of that chart.
    pub mean_of_subgroup: &'static str,
    /// The vertical axis of that chart.
    pub range: &'static str,
    /// The vertical axis of that chart.
    pub deviation: &'static str,

    /// A line: `{value}`.
    pub lower_limit: &'static str,
    /// A line: `{value}`.
    pub upper_limit: &'static str,
    /// A line: `{value}`.
    pub mean: &'static str,
    /// A line: `{value}`.
    pub lower_control: &'static str,
    /// A line: `{value}`.
    pub upper_control: &'static str,
    /// The names of the two limits in a sentence: lower, upper.
    pub limit_names: [&'static str; 2],

    /// A break: another tool.
    pub tool_changed: &'static str,
    /// A break: an offset was given, `{value}`.
    pub offset_applied: &'static str,
    /// Between parts: one was clamped anew.
    pub put_back: &'static str,

    /// What an upright line through a point is.
    pub spans: &'static str,
    /// What a cross at its end is.
    pub span_crosses: &'static str,
    /// What a box with a number is in a run of values.
    pub run_boxes: &'static str,
    /// What a cross is: `{n}`, `{of}`.
    pub crosses: &'static str,
    /// What an open disc is: `{n}`.
    pub rings: &'static str,
    /// Nothing is there to be shown.
    pub empty: &'static str,
    /// A single value.
    pub one_value: &'static str,
    /// All values are the same: `{value}`.
    pub all_equal: &'static str,
    /// No limit of size is known.
    pub limitless: &'static str,
    /// Many points may be thinned: `{n}`.
    pub thinned: &'static str,

    /// What a test is called at its row, before its number.
    pub signal_row: &'static str,
    /// What the rows above a chart are.
    pub signal_rows: &'static str,
    /// What a boxed number is: `{tests}`.
    pub boxes: &'static str,
    /// What a box is where only the limits are watched: `{places}`.
    pub boxes_of_limits: &'static str,
    /// No signal: `{tests}`.
    pub silent: &'static str,
    /// Names of the sets: Nelson, eight on one side, sevens, own.
    pub test_sets: [&'static str; 4],
    /// Names of the eight tests: `{n}` run length, `{of}` among how many.
    pub tests: [&'static str; 8],
    /// Where a test signals: `{number}`, `{name}`, `{places}`.
    pub signal: &'static str,
    /// More of them: `{n}`.
    pub more: &'static str,
    /// Only the limits are watched, and nothing lies beyond them.
    pub limits_only: &'static str,
    /// The limits rest on few points.
    pub provisional: &'static str,
    /// Too few values for control limits.
    pub uncontrolled: &'static str,

    /// The curve of a histogram.
    pub normal_curve: &'static str,
    /// The curve of a histogram.
    pub bounded_curve: &'static str,
    /// How wide its bars are: `{width}`, `{steps}`.
    pub bar_width: &'static str,
    /// What hatched bars are.
    pub hatched_bars: &'static str,

    /// How an interval is written with its best value: `{best}`, `{from}`, `{to}`.
    pub with_best: &'static str,
    /// How an interval is written without: `{from}`, `{to}`.
    pub without_best: &'static str,
    /// An index that cannot be found.
    pub no_index: &'static str,
    /// What the intervals are: `{confidence}`, `{n}`.
    pub intervals: &'static str,
    /// Fewer than 30 values.
    pub no_bare_index: &'static str,
    /// What the dotted lines are: `{low}`, `{middle}`, `{high}`.
    pub compared: &'static str,

    /// What the band is: `{confidence}`.
    pub band: &'static str,
    /// The slope: `{slope}`, `{from}`, `{to}`, `{confidence}`.
    pub slope: &'static str,
    /// The slope may be chance.
    pub by_chance: &'static str,
    /// A line: a limit less its guard band, `{value}`.
    pub guarded_limit: &'static str,
    /// Where the line reaches a limit: `{limit}`, `{at}`, `{between}`.
    pub reaches: &'static str,
    /// Where it reaches a limit less its guard band: `{limit}`, `{value}`, `{at}`, `{between}`.
    pub reaches_guarded: &'static str,
    /// Between which parts: `{from}`, `{to}`.
    pub between: &'static str,
    /// From which part on: `{from}`.
    pub from_on: &'static str,
    /// The line is beyond a limit already: `{limit}`.
    pub is_beyond: &'static str,
    /// Fewer than three values.
    pub trendless: &'static str,
}

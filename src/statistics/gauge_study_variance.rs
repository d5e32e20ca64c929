//! A crossed gauge study by analysis of variance: it also sees operators who differ only on some
//! parts.

use super::StatisticsError;
use super::checked::{in_range, mean_and_squares, sum};
use super::fisher::fisher_upper_tail;
use super::gauge_study::{Components, Crossed, mean};

/// What becomes of the interaction between operators and parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pooling {
    /// It always stays.
    Never,
    /// It joins the repeatability where its probability lies above this level (usual: 0.05; some
    /// texts 0.25).
    Above(f64),
    /// It always joins the repeatability.
    Always,
}

/// One line of the table of variances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Degrees of freedom.
    pub freedom: f64,
    /// Sum of squares.
    pub squares: f64,
}

impl Source {
    /// The mean square.
    pub fn mean_square(&self) -> f64 {
        self.squares / self.freedom
    }

    /// Both lines as one.
    pub(super) fn with(self, other: Self) -> Self {
        Self {
            freedom: self.freedom + other.freedom,
            squares: self.squares + other.squares,
        }
    }
}

/// A gauge study by analysis of variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VarianceStudy {
    /// Between parts.
    pub parts: Source,
    /// Between operators.
    pub operators: Source,
    /// Operators who differ from part to part.
    pub interaction: Source,
    /// Within the cells, without the interaction even where that was pooled.
    pub repeatability: Source,
    /// The interaction's mean square over that of the repeatability; infinite where nothing
    /// varies within the cells.
    pub interaction_ratio: f64,
    /// The probability of such a ratio by chance.
    pub interaction_p: f64,
    /// Whether the interaction was joined with the repeatability.
    pub pooled: bool,
    /// The standard deviation of the operators' own means.
    pub operator: f64,
    /// The standard deviation of the interaction; 0 where it was pooled.
    pub interaction_sd: f64,
    /// The standard deviations.
    pub components: Components,
}

/// A crossed study by analysis of variance.
///
/// Formula: repeatability MSE; interaction (MSI - MSE)/r; operators (MSO - MSI)/(p r); parts
///          (MSP - MSI)/(o r), each 0 where negative; pooled: both MSE and MSI are
///          (SSE + SSI)/(their degrees of freedom)
/// Symbols: p parts, o operators, r trials; MS mean squares.
/// Valid:   2 parts, operators and trials and more.
/// Rounding: none.
/// Source:  ISO 22514-7; published measurement-systems reference manual (both from memory).
/// Checked: tests/tables/gauge_study.json, tests/tables/variance.json.
/// Errors:  `OutOfRange` (a level outside 0 to 1).
pub fn variance_study(study: &Crossed, pooling: Pooling) -> Result<VarianceStudy, StatisticsError> {
    if let Pooling::Above(level) = pooling {
        in_range("level of pooling", level, 0.0, 1.0, "0 to 1")?;
    }
    let [parts, operators, interaction, repeatability] = table(study);
    let ratio = if repeatability.squares > 0.0 {
        interaction.mean_square() / repeatability.mean_square()
    } else if interaction.squares > 0.0 {
        f64::INFINITY
    } else {
        0.0
    };
    let p = fisher_upper_tail(ratio, interaction.freedom, repeatability.freedom)?;
    let pooled = match pooling {
        Pooling::Never => false,
        Pooling::Above(level) => p > level,
        Pooling::Always => true,
    };
    let (error, mixed) = if pooled {
        let both = repeatability.with(interaction).mean_square();
        (both, both)
    } else {
        (repeatability.mean_square(), interaction.mean_square())
    };
    let (p_count, o_count, r_count) = (
        study.parts() as f64,
        study.operators() as f64,
        study.trials() as f64,
    );
    let interaction_variance = ((mixed - error) / r_count).max(0.0);
    let operator = ((operators.mean_square() - mixed) / (p_count * r_count)).max(0.0);
    let part = ((parts.mean_square() - mixed) / (o_count * r_count)).max(0.0);
    let reproducibility = (operator + interaction_variance).sqrt();
    Ok(VarianceStudy {
        parts,
        operators,
        interaction,
        repeatability,
        interaction_ratio: ratio,
        interaction_p: p,
        pooled,
        operator: operator.sqrt(),
        interaction_sd: interaction_variance.sqrt(),
        components: Components::new(error.sqrt(), reproducibility, part.sqrt()),
    })
}

/// Sums of squares of parts, operators, their interaction and the repetition.
fn table(study: &Crossed) -> [Source; 4] {
    let (parts, operators, trials) = (study.parts(), study.operators(), study.trials());
    let whole = mean(study.values());
    let of_parts: Vec<f64> = (0..parts)
        .map(|at| study.mean_of_part(at) - whole)
        .collect();
    let of_operators: Vec<f64> = (0..operators)
        .map(|at| study.mean_of_operator(at) - whole)
        .collect();
    let cells = || (0..parts).flat_map(|part| (0..operators).map(move |at| (part, at)));
    let mixed = sum(cells().map(|(part, operator)| {
        let cell = mean(study.cell(part, operator)) - whole;
        (cell - of_parts[part] - of_operators[operator]).powi(2)
    }));
    let within = sum(cells().map(|(part, at)| mean_and_squares(study.cell(part, at)).1));
    let squares = |means: &[f64]| sum(means.iter().map(|mean| mean * mean));
    let source = |freedom: usize, squares: f64| Source {
        freedom: freedom as f64,
        squares,
    };
    [
        source(parts - 1, (operators * trials) as f64 * squares(&of_parts)),
        source(
            operators - 1,
            (parts * trials) as f64 * squares(&of_operators),
        ),
        source((parts - 1) * (operators - 1), trials as f64 * mixed),
        source(parts * operators * (trials - 1), within),
    ]
}

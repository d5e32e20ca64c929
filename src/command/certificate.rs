//! `fitledger certificate`: what a Digital Calibration Certificate says, and what of it goes into
//! the register.

use super::CertificateArguments;
use super::gauges::{day, register_text};
use super::output::{Output, Stopped};
use super::output_gauges::{
    CalibrationBody, CertificateLine, ColumnBody, ConditionBody, ConformityBody,
    IdentificationBody, ItemBody, RemarkBody, TableBody,
};
use super::problem::Problem;
use super::table::{cell, laid_out, numbers, words};
use crate::gauge::{
    Certificate, CertificateEntry, CertificateError, Choice, ChoiceProblem, Column, GaugeId,
    Register, Table, Taken, with_certificate,
};
use crate::report::shown;
use crate::session::{Workspace, read_text};

/// Most rows of a table that are shown to people.
const ROWS_SHOWN: usize = 40;

impl From<CertificateError> for Problem {
    fn from(error: CertificateError) -> Self {
        Self::bad(error.code(), error.to_string(), Some(error.hint()))
    }
}

impl From<ChoiceProblem> for Problem {
    fn from(error: ChoiceProblem) -> Self {
        Self::bad(error.code(), error.to_string(), Some(error.hint()))
    }
}

/// Shows it; with `--write` the register changes, or says why it does not.
pub(super) fn run(
    arguments: &CertificateArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let name = arguments.file.display().to_string();
    let certificate = read_text(&arguments.file)
        .map_err(Problem::from)
        .and_then(|text| Ok(Certificate::parse(&text)?));
    let certificate = match certificate {
        Ok(certificate) => certificate,
        Err(problem) => return tell(arguments, &name, &problem, out),
    };
    let taken = take(&certificate, arguments);
    let asked = arguments.gauge.as_deref().map(GaugeId::new);
    let written = match (&asked, &taken) {
        (Some(id), Ok(taken)) => enter(arguments, workspace, &certificate, taken, id).map(Some),
        (Some(_), Err(problem)) => Err(problem.clone().into()),
        (None, Err(problem)) if points(arguments) => Err(problem.clone().into()),
        (None, _) => Ok(None),
    };
    let file = written.as_ref().ok().and_then(|entered| entered.as_ref());
    let file = file.and_then(|entered| entered.file.clone());
    if arguments.json {
        if let Err(problem) = &written {
            return out.json_problem(&name, problem);
        }
        let gauge = arguments.gauge.as_deref();
        return out.json(&line(name, &certificate, &taken, gauge, file));
    }
    out.text(&head(&certificate))?;
    for (at, table) in certificate.tables.iter().enumerate() {
        out.text(&format!("\n{}. {}\n", at + 1, title(table)))?;
        out.text(&grid(table, out.screen()))?;
    }
    match (&taken, &written) {
        (Ok(taken), _) => out.text(&format!("\n{}\n", taken_text(taken)))?,
        (Err(problem), Ok(_)) => {
            out.message(&format!("{problem} {}", problem.hint()));
        }
        (Err(_), Err(_)) => {}
    }
    match written {
        Err(problem) => out.complain(&problem),
        Ok(Some(entered)) => out.text(&entered.told)?,
        Ok(None) => {}
    }
    Ok(())
}

fn tell(
    arguments: &CertificateArguments,
    name: &str,
    problem: &Problem,
    out: &mut Output,
) -> Result<(), Stopped> {
    if arguments.json {
        return out.json_problem(name, problem);
    }
    out.complain_about(name, problem);
    Ok(())
}

fn points(arguments: &CertificateArguments) -> bool {
    let columns = arguments.at_column.or(arguments.error_column);
    arguments.table.or(columns).is_some()
}

/// The calibration. Which of several things a table belongs to is not told by the form, so that
/// the person points at it.
fn take(
    certificate: &Certificate,
    arguments: &CertificateArguments,
) -> Result<Taken, ChoiceProblem> {
    if certificate.items.len() > 1 && arguments.table.is_none() {
        return Err(ChoiceProblem::NotClear);
    }
    certificate.take(Choice {
        table: arguments.table,
        at: arguments.at_column,
        error: arguments.error_column,
    })
}

/// What became of the register.
struct Entered {
    /// The register's file, if it was written.
    file: Option<String>,
    told: String,
}

/// Checks whose certificate it is, and writes it where that was asked for.
fn enter(
    arguments: &CertificateArguments,
    workspace: &Workspace,
    certificate: &Certificate,
    taken: &Taken,
    id: &GaugeId,
) -> Result<Entered, Problem> {
    let (path, text) = register_text(workspace)?;
    let register = Register::parse(&text, &path).map_err(|errors| Problem::register(&errors))?;
    let known = register.gauge(id).and_then(|gauge| gauge.serial.clone());
    let serial = serial(arguments, certificate, id, known.as_deref())?;
    let calibrated = certificate.date().ok_or_else(|| {
        let message = "The certificate has no date.".to_owned();
        let hint = "Copy what it says into gauges.toml by hand.";
        Problem::bad("certificate_without_date", message, Some(hint))
    })?;
    let entry = CertificateEntry {
        taken: taken.clone(),
        calibrated,
        certificate: certificate.number.clone(),
        serial,
        due: arguments.due.as_deref().map(day).transpose()?,
    };
    let changed = with_certificate(&text, id, &entry)?;
    let mut told = failed(certificate);
    if !arguments.write {
        told.push_str(&format!(
            "It is for {id}. Add --write to enter it in {path}.\n"
        ));
        return Ok(Entered { file: None, told });
    }
    let file = workspace.replace_gauges(&text, &changed)?;
    let file = file.display().to_string();
    told.push_str(&format!(
        "{id}: calibration, date, certificate and serial number written to {file}.\n\
         What was measured before stays judged as it was. If the gauge was wrong then, say so: \
         fitledger doubt {id} --reason 'certificate {}'\n",
        shown(certificate.number.as_deref().unwrap_or("corrected"))
    ));
    Ok(Entered {
        file: Some(file),
        told,
    })
}

/// What the laboratory says against the gauge.
fn failed(certificate: &Certificate) -> String {
    let against = certificate.conformity.iter().filter(|one| !one.is_pass());
    let told = against.map(|one| {
        let about = one.about.as_deref().unwrap_or("the limits asked for");
        format!(
            "Caution: the laboratory states “{}” for {}.\n",
            shown(&one.word),
            shown(about)
        )
    });
    told.collect()
}

/// The serial number, only where it is certain that certificate and gauge are one.
fn serial(
    arguments: &CertificateArguments,
    certificate: &Certificate,
    id: &GaugeId,
    known: Option<&str>,
) -> Result<String, Problem> {
    let numbers = certificate.serials();
    let listed = numbers.join("”, “");
    let other = |number: &str| {
        let message = format!("The certificate is for “{listed}”, not for “{number}” ({id}).");
        let hint = "Compare the number on the gauge with the certificate and with gauges.toml.";
        Problem::bad("other_serial_number", message, Some(hint))
    };
    if numbers.is_empty() {
        let message = "The certificate names no serial number.".to_owned();
        let hint = "Copy what it says into gauges.toml by hand, if it is certain whose it is.";
        return Err(Problem::bad(
            "certificate_without_serial",
            message,
            Some(hint),
        ));
    }
    if let (Some(said), Some(known)) = (arguments.serial.as_deref(), known)
        && said != known
    {
        let message =
            format!("{id} has the serial number “{known}” in the register, not “{said}”.");
        let hint = "Compare the number on the gauge with gauges.toml.";
        return Err(Problem::bad("other_serial_number", message, Some(hint)));
    }
    match arguments.serial.as_deref().or(known) {
        Some(number) if numbers.contains(&number) => Ok(number.to_owned()),
        Some(number) => Err(other(number)),
        None => {
            let message = format!(
                "{id} has no serial number in the register; the certificate is for “{listed}”."
            );
            let hint = "Read the number off the gauge and give it with --serial.";
            Err(Problem::bad("serial_needed", message, Some(hint)))
        }
    }
}

/// Whose it is, of which day, and under what conditions.
fn head(certificate: &Certificate) -> String {
    let mut lines = Vec::new();
    let mut add = |name: &str, text: Option<String>| {
        lines.extend(text.map(|text| format!("{name}: {}\n", shown(&text))));
    };
    add("Certificate", certificate.number.clone());
    add("Calibrated", certificate.date().map(|day| day.to_string()));
    add("Laboratory", certificate.laboratory.clone());
    for item in &certificate.items {
        let parts = [&item.name, &item.manufacturer, &item.model];
        let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
        add(
            "For",
            Some(parts.join(", ")).filter(|text| !text.is_empty()),
        );
        for one in &item.identifications {
            let name = one.name.as_deref().unwrap_or(&one.issuer);
            add(&shown(name), Some(one.value.clone()));
        }
    }
    for one in &certificate.conditions {
        let within = one.uncertainty.as_ref();
        let within = within
            .map(|within| format!(" ± {within}"))
            .unwrap_or_default();
        add(
            &shown(&one.name),
            Some(format!("{}{within} {}", one.value, one.unit)),
        );
    }
    for one in &certificate.conformity {
        let about = one.about.as_deref().unwrap_or("limits");
        add("Statement", Some(format!("{} ({about})", one.word)));
    }
    let signature = match certificate.is_signed {
        true => "signed, not checked",
        false => "not signed",
    };
    add("Signature", Some(signature.to_owned()));
    lines.concat()
}

fn title(table: &Table) -> String {
    match table.title.as_str() {
        "" => "Table".to_owned(),
        title => shown(title).into_owned(),
    }
}

/// A table: what each column is, then its values.
fn grid(table: &Table, screen: super::screen::Screen) -> String {
    let about = [
        numbers("column"),
        words("name"),
        words("taken for"),
        words("unit"),
        words("U"),
        words("values"),
    ];
    let rows: Vec<_> = table
        .columns
        .iter()
        .enumerate()
        .map(|(at, column)| {
            let texts = [
                (at + 1).to_string(),
                column.name.clone(),
                column.role().word().to_owned(),
                column.unit_of(0).to_owned(),
                uncertainty(column),
                values(column),
            ];
            texts.into_iter().map(cell).collect()
        })
        .collect();
    laid_out(&about, &rows, screen)
}

fn uncertainty(column: &Column) -> String {
    let Some(stated) = &column.uncertainty else {
        return String::new();
    };
    let all = listed(&stated.expanded);
    format!("{all} (k {})", listed(&stated.coverage_factor))
}

fn values(column: &Column) -> String {
    listed(&column.values)
}

fn listed(texts: &[String]) -> String {
    let first = texts.iter().take(ROWS_SHOWN).map(String::as_str);
    let first = first.collect::<Vec<_>>().join(" ");
    match texts.len().checked_sub(ROWS_SHOWN) {
        Some(more) if more > 0 => format!("{first} and {more} more"),
        _ => first,
    }
}

/// The calibration in a sentence.
fn taken_text(taken: &Taken) -> String {
    let chosen = taken.chosen;
    let points = taken.calibration.bias_points();
    let least = points.iter().map(|point| point.bias).min();
    let most = points.iter().map(|point| point.bias).max();
    let span = least.zip(most).map(|(least, most)| {
        let (least, most) = (least.to_mm(), most.to_mm());
        format!(", {} errors from {least} to {most} mm", points.len())
    });
    let several = match taken.is_largest_of_several {
        true => ", the largest of several",
        false => "",
    };
    format!(
        "Taken from table {}, sizes in column {}, errors in column {}: \
         U = {} mm (k = {}){several}{}.",
        chosen.table,
        chosen.at,
        chosen.error,
        taken.calibration.expanded_uncertainty().to_mm(),
        taken.coverage_factor,
        span.unwrap_or_default(),
    )
}

fn line<'a>(
    file: String,
    certificate: &'a Certificate,
    taken: &Result<Taken, ChoiceProblem>,
    gauge: Option<&'a str>,
    written: Option<String>,
) -> CertificateLine<'a> {
    let items = certificate.items.iter().map(|item| ItemBody {
        name: item.name.as_deref(),
        manufacturer: item.manufacturer.as_deref(),
        model: item.model.as_deref(),
        identifications: item
            .identifications
            .iter()
            .map(|one| IdentificationBody {
                issuer: &one.issuer,
                name: one.name.as_deref(),
                value: &one.value,
            })
            .collect(),
    });
    let conditions = certificate.conditions.iter().map(|one| ConditionBody {
        name: &one.name,
        value: &one.value,
        unit: &one.unit,
        uncertainty: one.uncertainty.as_deref(),
    });
    let conformity = certificate.conformity.iter().map(|one| ConformityBody {
        word: &one.word,
        about: one.about.as_deref(),
    });
    let open = taken.as_ref().err().map(|problem| RemarkBody {
        code: problem.code(),
        message: problem.to_string(),
    });
    CertificateLine {
        file,
        version: certificate.version.as_deref(),
        number: certificate.number.as_deref(),
        performed: certificate.performed.map(|day| day.to_string()),
        issued: certificate.issued.map(|day| day.to_string()),
        laboratory: certificate.laboratory.as_deref(),
        signature: match certificate.is_signed {
            true => "not_checked",
            false => "none",
        },
        items: items.collect(),
        conditions: conditions.collect(),
        conformity: conformity.collect(),
        tables: certificate.tables.iter().enumerate().map(table).collect(),
        calibration: taken.as_ref().ok().map(calibration),
        open,
        gauge,
        written,
    }
}

fn table((at, table): (usize, &Table)) -> TableBody<'_> {
    let columns = table.columns.iter().enumerate();
    let columns = columns.map(|(at, column)| {
        let stated = column.uncertainty.as_ref();
        ColumnBody {
            column: at + 1,
            name: &column.name,
            ref_type: &column.ref_type,
            role: column.role().word(),
            units: &column.units,
            values: &column.values,
            expanded_uncertainty: stated.map(|one| one.expanded.as_slice()),
            coverage_factor: stated.map(|one| one.coverage_factor.as_slice()),
        }
    });
    TableBody {
        table: at + 1,
        title: &table.title,
        columns: columns.collect(),
    }
}

fn calibration(taken: &Taken) -> CalibrationBody {
    let points = taken.calibration.bias_points().iter();
    CalibrationBody {
        table: taken.chosen.table,
        at_column: taken.chosen.at,
        error_column: taken.chosen.error,
        expanded: taken.calibration.expanded_uncertainty().to_mm(),
        k: taken.coverage_factor.to_string(),
        largest_of_several: taken.is_largest_of_several,
        bias: points
            .map(|point| [point.at.to_mm(), point.bias.to_mm()])
            .collect(),
    }
}

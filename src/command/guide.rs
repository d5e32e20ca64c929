//! `fitledger guide`: the guide's pages in the terminal, or all of them as one HTML file.

use std::path::Path;

use super::arguments_guide::GuideArguments;
use super::output::{Output, Stopped};
use super::output_files::{GuidePageLine, GuideWrittenLine};
use super::problem::Problem;
use super::screen::{Screen, paragraph};
use super::write_whole::{Whole, write_whole};
use crate::gauge::nearest;
use crate::guide::{Page, page, pages};
use crate::report::{guide_html, shown};

/// Columns of a page's text in JSON: the same wherever it is asked for.
const JSON_WIDTH: usize = 80;

/// Lists the pages, prints one, or writes them all.
pub(super) fn run(arguments: &GuideArguments, out: &mut Output) -> Result<(), Stopped> {
    let input = match (&arguments.page, &arguments.out) {
        (Some(name), _) => name.clone(),
        (None, Some(path)) => path.display().to_string(),
        (None, None) => String::new(),
    };
    let done = match (&arguments.page, &arguments.out) {
        (Some(name), _) => asked_for(name).map(Answer::Page),
        (None, Some(path)) => written(path, arguments.replace).map(|()| Answer::Written(path)),
        (None, None) => Ok(Answer::List),
    };
    match done {
        Ok(answer) => tell(&answer, arguments.json, out),
        Err(problem) => out.refuse(arguments.json, &input, &problem),
    }
}

enum Answer<'a> {
    List,
    Page(&'static Page),
    Written(&'a Path),
}

fn tell(answer: &Answer<'_>, json: bool, out: &mut Output) -> Result<(), Stopped> {
    match (answer, json) {
        (Answer::List, true) => pages()
            .iter()
            .try_for_each(|page| out.json(&line(page, false))),
        (Answer::List, false) => out.text(&list(out.screen())),
        (Answer::Page(page), true) => out.json(&line(page, true)),
        (Answer::Page(page), false) => out.text(&page.told(out.screen().width)),
        (Answer::Written(path), true) => out.json(&GuideWrittenLine {
            guide: &path.display().to_string(),
            pages: pages().len(),
        }),
        (Answer::Written(path), false) => {
            let name = path.display().to_string();
            out.text(&format!("{}: {} pages\n", shown(&name), pages().len()))
        }
    }
}

fn line(page: &'static Page, with_text: bool) -> GuidePageLine<'static> {
    GuidePageLine {
        page: page.name,
        title: page.title,
        about: page.about,
        text: with_text.then(|| page.told(JSON_WIDTH)),
    }
}

/// Every page with its sentence, and how to read one.
fn list(screen: Screen) -> String {
    let longest = pages()
        .iter()
        .map(|page| page.name.len())
        .max()
        .unwrap_or(0);
    let mut text = String::new();
    for page in pages() {
        let name = format!("{:<longest$}  ", page.name);
        text += &paragraph(page.about, (&name, longest + 2), screen);
    }
    text + "\nRead one with: fitledger guide start\n\
            All as one file: fitledger guide --html --out guide.html\n"
}

fn asked_for(name: &str) -> Result<&'static Page, Problem> {
    page(name).ok_or_else(|| {
        let near = nearest(name, pages().iter().map(|page| page.name));
        let near = near.map_or_else(String::new, |near| format!("Nearest is “{near}”. "));
        Problem::bad(
            "no_such_page",
            format!("The guide has no page “{}”.", shown(name)),
            Some(&format!("{near}fitledger guide lists the pages.")),
        )
    })
}

fn written(path: &Path, replace: bool) -> Result<(), Problem> {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    if !["html", "htm"].contains(&ending.to_ascii_lowercase().as_str()) {
        let name = path.display().to_string();
        return Err(Problem::bad(
            "form_unknown",
            format!("The name {} does not say that it is HTML.", shown(&name)),
            Some("Let it end with .html."),
        ));
    }
    let html = guide_html(pages());
    let file = Whole {
        path,
        bytes: html.as_bytes(),
    };
    write_whole(&[file], replace, &|| Ok(()))
}

//! The report as one HTML file that stands alone: style and pictures in it, no script, nothing
//! from outside, and a content policy that allows no more. It is well-formed XML too.

use super::gather_text::bench_time;
use super::html_batch::batch;
use super::html_head::{head, outcomes};
use super::html_markup::Markup;
use super::html_outline::outline;
use super::html_part::part;
use super::html_record::{cautions, gauges, happenings, record, why};
use super::html_style::{STYLE, foot};
use super::options::ReportOptions;
use super::safe;
use super::sheet::Sheet;
use super::words::Words;

/// What everything in the page is written from.
pub(super) struct Page<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) options: &'a ReportOptions,
    pub(super) words: &'static Words,
}

/// The HTML form of a sheet.
pub fn html(sheet: &Sheet, options: &ReportOptions) -> String {
    let page = Page {
        sheet,
        options,
        words: options.words,
    };
    let mut m = Markup::default();
    m.raw("<!DOCTYPE html>\n");
    m.raw(&format!(
        "<html lang=\"{}\">\n",
        safe::html(page.words.language)
    ));
    m.head(&page.title(), |m| page.style(m));
    m.within("body", |m| {
        m.within("main", |m| {
            head(&page, m);
            outcomes(&page, m);
            outline(&page, m);
            batch(&page, m);
            for one in &sheet.parts {
                part(&page, one, m);
            }
            gauges(&page, m);
            happenings(&page, m);
            why(&page, m);
            cautions(&page, m);
            record(&page, m);
            page.footer(m);
        });
    });
    m.raw("</html>\n");
    m.into_text()
}

impl Page<'_> {
    fn title(&self) -> String {
        let job = &self.sheet.job;
        let names = [
            self.words.title,
            job.part_name.as_str(),
            job.drawing.as_str(),
        ];
        let names: Vec<&str> = names.into_iter().filter(|name| !name.is_empty()).collect();
        names.join(" · ")
    }

    fn style(&self, m: &mut Markup) {
        m.raw(STYLE);
        m.raw(&foot(
            &self.sheet.record.head,
            self.words.page,
            self.words.of,
        ));
    }

    fn footer(&self, m: &mut Markup) {
        m.within("footer", |m| {
            m.text(self.words.head);
            m.raw(" ");
            m.element("span class=\"record\"", &self.sheet.record.head);
        });
    }

    /// A value with the wanted decimal mark; a sign in front is no hindrance.
    pub(super) fn number(&self, value: &str) -> String {
        match value.strip_prefix('+') {
            Some(rest) => format!("+{}", self.options.number(rest)),
            None => self.options.number(value).into_owned(),
        }
    }

    /// A value, or that it was not recorded.
    pub(super) fn number_or_not_recorded(&self, value: &str) -> String {
        match value {
            "" => self.words.not_recorded.to_owned(),
            value => self.number(value),
        }
    }

    /// A time of the record on the clock at the bench.
    pub(super) fn time(&self, time: &str) -> String {
        bench_time(time, &self.sheet.record.offset)
    }

    /// A chance in parts per million as percent, cut and not rounded: 100 % is a certainty.
    pub(super) fn percent(&self, ppm: u32) -> String {
        let text = format!("{}.{}", ppm / 10_000, ppm % 10_000 / 1000);
        format!("{} %", self.number(&text))
    }
}

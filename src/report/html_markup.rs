//! Markup that is well formed by its making: every element is closed, and every text passes
//! [`safe::html`](super::safe::html) on its way in.

use super::safe;

/// The head of a column: its text and its classes, constants too: `w` with the share of the
/// table's width in percent, `n` for numbers.
pub(super) type Head<'a> = (&'a str, &'static str);

/// A growing piece of markup.
#[derive(Debug, Default)]
pub(super) struct Markup(String);

impl Markup {
    /// Text, escaped.
    pub(super) fn text(&mut self, text: &str) {
        self.0.push_str(&safe::html(text));
    }

    /// Markup of our own making, as it is.
    pub(super) fn raw(&mut self, markup: &str) {
        self.0.push_str(markup);
    }

    /// An element with what `inside` writes. The tag may have attributes (`td class="n"`), which
    /// are constants: no text from outside stands in one.
    pub(super) fn within(&mut self, tag: &'static str, inside: impl FnOnce(&mut Self)) {
        let name = tag.split(' ').next().unwrap_or(tag);
        self.0.extend(["<", tag, ">"]);
        inside(self);
        self.0.extend(["</", name, ">"]);
        if !matches!(
            name,
            "span" | "b" | "i" | "s" | "time" | "bdi" | "small" | "code"
        ) {
            self.0.push('\n');
        }
    }

    /// An element with a text.
    pub(super) fn element(&mut self, tag: &'static str, text: &str) {
        self.within(tag, |m| m.text(text));
    }

    /// An element with a text, or nothing where the text is empty.
    pub(super) fn unless_empty(&mut self, tag: &'static str, text: &str) {
        if !text.is_empty() {
            self.element(tag, text);
        }
    }

    /// A table with its caption, which is a heading (`h2`, `h3`), its heads (which repeat on every
    /// page) and its rows.
    pub(super) fn table(
        &mut self,
        heading: &'static str,
        caption: &str,
        heads: &[Head<'_>],
        rows: impl FnOnce(&mut Self),
    ) {
        self.within("div class=\"wide\"", |m| {
            m.within("table", |m| {
                m.within("caption", |m| m.element(heading, caption));
                m.within("thead", |m| {
                    m.within("tr", |m| {
                        for (head, look) in heads {
                            m.0.extend(["<th scope=\"col\" class=\"", look, "\">"]);
                            m.text(head);
                            m.raw("</th>\n");
                        }
                    });
                });
                m.within("tbody", rows);
            });
        });
    }

    /// The head of a page that stands alone: it has no script, and takes nothing from outside.
    pub(super) fn head(&mut self, title: &str, style: impl FnOnce(&mut Self)) {
        self.within("head", |m| {
            m.raw("<meta charset=\"utf-8\" />\n");
            m.raw(
                "<meta http-equiv=\"Content-Security-Policy\" \
                 content=\"default-src 'none'; style-src 'unsafe-inline'\" />\n",
            );
            m.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\" />\n");
            m.element("title", title);
            m.within("style", style);
        });
    }

    /// The whole.
    pub(super) fn into_text(self) -> String {
        self.0
    }
}

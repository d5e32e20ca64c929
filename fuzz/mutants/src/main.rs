//! Writes every small change of a source file into that file, each behind a switch: so that one
//! build holds all of them, and a run of the tests turns on one.
//!
//!     mutants FIRST [--without FILE] SOURCE...
//!
//! rewrites the sources in place (of a copy!), with the changes numbered from FIRST on, and lists
//! each on standard output: number, file, line, what was, what became of it. Numbers in FILE, one a
//! line, are left out: what the compiler did not take. The switch is `crate::mutant::on(NUMBER)`.
//!
//! Changed are operators, whole numbers, true and false, conditions, and statements that can be
//! left out; not patterns, constants, `const fn`, what macros are given, and tests.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{
    Attribute, BinOp, Block, Expr, ImplItemFn, ItemConst, ItemFn, ItemMacro, ItemMod, ItemStatic,
    Lit, Pat, Stmt, Type, UnOp,
};

/// The changes of one place, each as the text that stands there instead.
#[derive(Default)]
struct Place {
    instead: Vec<String>,
    /// A statement may also be left out.
    is_statement: bool,
}

struct Finder<'a> {
    text: &'a str,
    places: BTreeMap<(usize, std::cmp::Reverse<usize>), Place>,
}

impl Finder<'_> {
    fn raw(&self, spanned: &impl Spanned) -> &str {
        &self.text[spanned.span().byte_range()]
    }

    fn put(&mut self, at: Range<usize>, instead: String) {
        let place = self.places.entry((at.start, std::cmp::Reverse(at.end)));
        place.or_default().instead.push(instead);
    }

    /// A condition the other way round; of a comparison that is one of the other operators.
    fn negated(&mut self, condition: &Expr) {
        let is_compared = matches!(condition, Expr::Binary(one)
            if !matches!(one.op, BinOp::And(_) | BinOp::Or(_)));
        if !has_let(condition) && !is_compared && !matches!(condition, Expr::Unary(_)) {
            let instead = format!("!({})", self.raw(condition));
            self.put(condition.span().byte_range(), instead);
        }
    }
}

/// `let` in a condition cannot be moved into a block.
fn has_let(expr: &Expr) -> bool {
    match expr {
        Expr::Let(_) => true,
        Expr::Binary(binary) => has_let(&binary.left) || has_let(&binary.right),
        Expr::Paren(paren) => has_let(&paren.expr),
        _ => false,
    }
}

fn is_test(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|one| {
        let path = one.path();
        path.is_ident("test")
            || path.is_ident("cfg")
                && one.parse_args::<syn::Ident>().is_ok_and(|word| word == "test")
    })
}

fn others(op: &BinOp) -> &'static [&'static str] {
    match op {
        BinOp::Add(_) => &["-"],
        BinOp::Sub(_) => &["+"],
        BinOp::Mul(_) => &["/", "+"],
        BinOp::Div(_) => &["*"],
        BinOp::Rem(_) => &["/"],
        BinOp::And(_) => &["||"],
        BinOp::Or(_) => &["&&"],
        BinOp::BitXor(_) | BinOp::BitAnd(_) => &["|"],
        BinOp::BitOr(_) => &["&", "^"],
        BinOp::Shl(_) => &[">>"],
        BinOp::Shr(_) => &["<<"],
        BinOp::Eq(_) => &["!="],
        BinOp::Ne(_) => &["=="],
        BinOp::Lt(_) => &["<=", ">="],
        BinOp::Le(_) => &["<", ">"],
        BinOp::Gt(_) => &[">=", "<="],
        BinOp::Ge(_) => &[">", "<"],
        BinOp::AddAssign(_) => &["-="],
        BinOp::SubAssign(_) => &["+="],
        BinOp::MulAssign(_) => &["/="],
        BinOp::DivAssign(_) => &["*="],
        BinOp::BitOrAssign(_) => &["&="],
        BinOp::BitAndAssign(_) => &["|="],
        _ => &[],
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_attribute(&mut self, _: &'ast Attribute) {}
    fn visit_pat(&mut self, _: &'ast Pat) {}
    fn visit_type(&mut self, _: &'ast Type) {}
    fn visit_item_const(&mut self, _: &'ast ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast ItemStatic) {}
    fn visit_item_macro(&mut self, _: &'ast ItemMacro) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_generic_argument(&mut self, _: &'ast syn::GenericArgument) {}
    fn visit_variant(&mut self, _: &'ast syn::Variant) {}
    fn visit_expr_const(&mut self, _: &'ast syn::ExprConst) {}

    fn visit_item_mod(&mut self, item: &'ast ItemMod) {
        if !is_test(&item.attrs) {
            visit::visit_item_mod(self, item);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast ItemFn) {
        if item.sig.constness.is_none() && !is_test(&item.attrs) {
            visit::visit_item_fn(self, item);
        }
    }

    fn visit_impl_item_fn(&mut self, item: &'ast ImplItemFn) {
        if item.sig.constness.is_none() {
            visit::visit_impl_item_fn(self, item);
        }
    }

    fn visit_expr_repeat(&mut self, expr: &'ast syn::ExprRepeat) {
        self.visit_expr(&expr.expr);
    }

    fn visit_block(&mut self, block: &'ast Block) {
        for statement in &block.stmts {
            let Stmt::Expr(expr, Some(_)) = statement else {
                continue;
            };
            if matches!(expr, Expr::Assign(_) | Expr::Binary(_) | Expr::Call(_) | Expr::MethodCall(_)) {
                let at = statement.span().byte_range();
                let place = self.places.entry((at.start, std::cmp::Reverse(at.end)));
                place.or_default().is_statement = true;
            }
        }
        visit::visit_block(self, block);
    }

    fn visit_expr(&mut self, expr: &'ast Expr) {
        match expr {
            Expr::Binary(binary) if !has_let(expr) => {
                let (left, right) = (self.raw(&binary.left), self.raw(&binary.right));
                let all: Vec<String> = others(&binary.op)
                    .iter()
                    .map(|op| format!("{left} {op} {right}"))
                    .collect();
                for one in all {
                    self.put(expr.span().byte_range(), one);
                }
            }
            Expr::Unary(unary) if matches!(unary.op, UnOp::Not(_) | UnOp::Neg(_)) => {
                let instead = self.raw(&unary.expr).to_owned();
                self.put(expr.span().byte_range(), instead);
                // A sign belongs to its number.
                if matches!(unary.op, UnOp::Neg(_)) && matches!(*unary.expr, Expr::Lit(_)) {
                    return;
                }
            }
            Expr::Lit(literal) => match &literal.lit {
                Lit::Int(whole) => {
                    if let Ok(value) = whole.base10_parse::<u128>() {
                        let other = if value < 100 { value + 1 } else { value - 1 };
                        let instead = format!("{other}{}", whole.suffix());
                        self.put(expr.span().byte_range(), instead);
                    }
                }
                Lit::Bool(word) => {
                    self.put(expr.span().byte_range(), (!word.value).to_string());
                }
                _ => {}
            },
            Expr::If(chosen) => self.negated(&chosen.cond),
            Expr::While(repeated) => self.negated(&repeated.cond),
            _ => {}
        }
        visit::visit_expr(self, expr);
    }

    fn visit_arm(&mut self, arm: &'ast syn::Arm) {
        if let Some((_, guard)) = &arm.guard {
            self.negated(guard);
        }
        visit::visit_arm(self, arm);
    }
}

/// The numbers that are given out, and what they stand for.
struct Numbering<'a> {
    next: u32,
    without: &'a BTreeSet<u32>,
    name: &'a str,
    text: &'a str,
}

impl Numbering<'_> {
    /// The switch of a change, or none when it is left out.
    fn switch(&mut self, at: &Range<usize>, instead: &str) -> Option<String> {
        let number = self.next;
        self.next += 1;
        if self.without.contains(&number) {
            return None;
        }
        let line = self.text[..at.start].matches('\n').count() + 1;
        let one_line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (was, is) = (one_line(&self.text[at.clone()]), one_line(instead));
        println!("{number}\t{}\t{line}\t{was}\t{is}", self.name);
        Some(format!("crate::mutant::on({number})"))
    }

    /// The text from `from` to `to` with all places in it changed.
    fn written(&mut self, from: usize, to: usize, places: &[(Range<usize>, &Place)]) -> String {
        let (mut out, mut at, mut index) = (String::new(), from, 0);
        while let Some((range, place)) = places.get(index) {
            let inside = places[index + 1..].partition_point(|(inner, _)| inner.start < range.end);
            out.push_str(&self.text[at..range.start]);
            let mut switches = Vec::new();
            for instead in &place.instead {
                if let Some(switch) = self.switch(range, instead) {
                    switches.push((switch, instead.as_str()));
                }
            }
            let left_out = place.is_statement.then(|| self.switch(range, "")).flatten();
            let inner = &places[index + 1..=index + inside];
            let kept = self.written(range.start, range.end, inner);
            let chosen = switches
                .iter()
                .map(|(switch, instead)| format!("if {switch} {{ {instead} }} else "))
                .collect::<String>();
            let changed = match chosen.is_empty() {
                true => kept,
                false => format!("({chosen}{{ {kept} }})"),
            };
            match left_out {
                Some(switch) => out.push_str(&format!("if !{switch} {{ {changed} }}")),
                None => out.push_str(&changed),
            }
            at = range.end;
            index += 1 + inside;
        }
        out.push_str(&self.text[at..to]);
        out
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1).peekable();
    let mut next = arguments.next().ok_or("the first number is missing")?.parse()?;
    let mut without = BTreeSet::new();
    if arguments.next_if(|word| word == "--without").is_some() {
        let name = arguments.next().ok_or("--without needs a file")?;
        for line in std::fs::read_to_string(name)?.lines() {
            without.insert(line.trim().parse()?);
        }
    }
    for name in arguments {
        let text = std::fs::read_to_string(&name)?;
        let mut finder = Finder {
            text: &text,
            places: BTreeMap::new(),
        };
        finder.visit_file(&syn::parse_file(&text)?);
        let places: Vec<_> = finder
            .places
            .iter()
            .map(|((start, end), place)| (*start..end.0, place))
            .collect();
        let mut numbering = Numbering {
            next,
            without: &without,
            name: &name,
            text: &text,
        };
        let written = numbering.written(0, text.len(), &places);
        next = numbering.next;
        std::fs::write(&name, written)?;
    }
    Ok(())
}

//! The look of the HTML form: paper first, black on white. Verdicts differ by word and by the
//! border around it, never by colour.

/// The style sheet; the foot of the pages follows by [`foot`].
pub(super) const STYLE: &str = "
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0;background:#fff;color:#111;
font:10pt/1.42 \"Helvetica Neue\",Helvetica,Arial,\"Liberation Sans\",sans-serif;
font-variant-numeric:tabular-nums;overflow-wrap:anywhere}
main{max-width:188mm;margin:0 auto;padding:10mm 4mm}
h1{font-size:20pt;line-height:1.15;font-weight:600;margin:0 0 1mm;letter-spacing:-.01em}
h2{font-size:13pt;font-weight:600;margin:9mm 0 2mm;padding-top:2mm;border-top:.5mm solid #111}
h3{font-size:10.5pt;font-weight:600;margin:6mm 0 1.5mm}
p{margin:1mm 0 2mm;max-width:150mm}
.kind{font-size:9pt;letter-spacing:.08em;text-transform:uppercase;margin:0 0 3mm}
.under{font-size:11pt;margin:0 0 5mm}
.small,small{font-size:8pt;line-height:1.35}
small{display:block;color:#333}
dl{display:grid;grid-template-columns:repeat(3,1fr);gap:2.5mm 6mm;margin:4mm 0}
dl div{border-top:.2mm solid #999;padding-top:1mm}
dt{font-size:8pt;color:#333}
dd{margin:0}
dl.facts{grid-template-columns:1fr}
dl.facts div{display:grid;grid-template-columns:45mm 1fr;gap:4mm}
dl.facts dt{padding-top:.4mm}
.wide{overflow-x:auto}
table{width:100%;table-layout:fixed;border-collapse:collapse;margin:0 0 4mm;font-size:9pt;
line-height:1.32}
caption{text-align:left}
th,td{text-align:left;vertical-align:top;padding:1.3mm 2mm 1.3mm 0;
font-weight:400;overflow-wrap:break-word}
thead th{font-size:8pt;color:#333;vertical-align:bottom;border-bottom:.35mm solid #111}
tbody tr{border-bottom:.15mm solid #aaa}
tbody th{font-weight:400}
td.n,th.n{text-align:right;padding-right:3mm}
td.c,th.c{text-align:center}
th.no{font-weight:600}
.w4{width:4%}.w5{width:5%}.w7{width:7%}.w8{width:8%}.w9{width:9%}.w10{width:10%}.w11{width:11%}
.w12{width:12%}.w13{width:13%}.w14{width:14%}.w16{width:16%}.w17{width:17%}.w18{width:18%}
.w20{width:20%}.w22{width:22%}.w23{width:23%}.w24{width:24%}.w26{width:26%}.w44{width:44%}
.w60{width:60%}.w72{width:72%}
b{font-weight:600}
.record{font-family:\"DejaVu Sans Mono\",Menlo,Consolas,\"Liberation Mono\",monospace;
font-size:7.5pt;word-break:break-all}
svg.chart{display:block;width:100%;max-width:180mm;height:auto;margin:2mm 0}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:4mm}
h4{font-size:9pt;font-weight:600;margin:3mm 0 1mm}
svg.outline{display:block;width:100%;max-width:180mm;height:auto;margin:2mm 0}
svg.bar{display:block;margin:0 auto;width:28mm;max-width:100%;height:6mm}
.verdict,.standing,.from{display:inline-block;padding:.1mm 1.4mm;font-weight:700;
white-space:nowrap}
.go{border:.35mm solid #111}
.no-go{border:.9mm double #111;background:#111;color:#fff;
-webkit-print-color-adjust:exact;print-color-adjust:exact}
.doubt{border:.5mm dashed #111}
.none{border:.35mm dotted #111;font-weight:400}
.standing{font-size:11pt;white-space:normal}
.from{white-space:normal;font-size:7.5pt;font-weight:400;padding:0 1mm;
border:.2mm solid transparent}
.sent{padding:0;border:0}
.typed{border-bottom-color:#111;font-style:italic}
.simulated{border:.5mm dotted #111;font-weight:700;text-transform:uppercase}
.imported{border:.4mm dashed #111;font-weight:700}
.banner{border:.5mm solid #111;border-left-width:2.5mm;padding:2mm 4mm;margin:3mm 0;
font-weight:600;
max-width:none}
s{text-decoration-thickness:.35mm}
section.part{margin-top:10mm}
ul{margin:1mm 0 3mm;padding-left:5mm}
li{margin:.6mm 0;max-width:160mm}
footer{margin-top:10mm;border-top:.5mm solid #111;padding-top:2mm;font-size:8pt}
@page{size:A4;margin:15mm 14mm 18mm}
@media print{
main{max-width:none;margin:0;padding:0}
.wide{overflow:visible}
thead{display:table-header-group}
tr,svg,dl div,.banner,li{break-inside:avoid}
h2,h3,h4,caption,thead{break-after:avoid}
tbody tr:first-child{break-before:avoid}
section.part{break-before:page;margin-top:0}
section.part h2{margin-top:0}
}
";

/// The foot of every printed page: the beginning of the record's head hash, and the page. Only
/// hexadecimal digits of the hash come through.
pub(super) fn foot(head: &str, page: &str, of: &str) -> String {
    let digits = head.chars().filter(char::is_ascii_hexdigit).take(16);
    let hash: String = digits.collect();
    let plain = |word: &str| -> String { word.chars().filter(|c| c.is_alphanumeric()).collect() };
    let (page, of) = (plain(page), plain(of));
    format!(
        "@page{{@bottom-left{{content:\"{hash}\";font:7.5pt monospace}}\
         @bottom-right{{content:\"{page} \" counter(page) \" {of} \" counter(pages);\
         font:8pt Helvetica,Arial,sans-serif}}}}\n"
    )
}

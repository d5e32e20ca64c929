//! The look of the guide's HTML: for screens by day and by night, and for paper.

/// The style sheet.
pub(super) const GUIDE_STYLE: &str = "
:root{color-scheme:light dark;--ground:#fff;--ink:#16191d;--soft:#4b535c;--line:#b9c0c8;
--code:#f1f3f5;--link:#0b4f9c}
@media screen and (prefers-color-scheme:dark){
:root{--ground:#14171a;--ink:#e8eaed;--soft:#aab2bb;--line:#454d56;--code:#20252a;--link:#8fc1ff}}
*{box-sizing:border-box}
html{scroll-padding-top:1rem}
body{margin:0 auto;padding:1.5rem 1.2rem 4rem;max-width:78rem;background:var(--ground);
color:var(--ink);font:1rem/1.55 \"Helvetica Neue\",Helvetica,Arial,\"Liberation Sans\",sans-serif;
overflow-wrap:break-word}
header{border-bottom:2px solid var(--ink);margin-bottom:1.5rem}
.kind{margin:0;letter-spacing:.08em;text-transform:uppercase;color:var(--soft);font-size:.85rem}
.name{margin:0 0 .5rem;font-size:1.8rem;font-weight:600;line-height:1.2}
nav ol{margin:0;padding-left:1.5rem}
nav li{margin:0 0 .5rem}
small{display:block;color:var(--soft);font-size:.85rem;line-height:1.35}
main{min-width:0}
section{max-width:48rem;padding-top:.5rem}
h1{font-size:1.6rem;line-height:1.2;font-weight:600;margin:2.5rem 0 1rem;padding-top:.6rem;
border-top:2px solid var(--ink)}
h2{font-size:1.2rem;font-weight:600;margin:2rem 0 .5rem}
h3{font-size:1rem;font-weight:600;margin:1.5rem 0 .5rem}
p{margin:.6rem 0}
ul{margin:.6rem 0;padding-left:1.4rem}
li p{margin:.2rem 0}
a{color:var(--link)}
b{font-weight:600}
code{font:.88em/1.45 \"DejaVu Sans Mono\",Menlo,Consolas,\"Liberation Mono\",monospace;
background:var(--code);padding:.05em .25em;border-radius:.2em}
pre{margin:.8rem 0;padding:.7rem .9rem;background:var(--code);overflow-x:auto;
border-left:3px solid var(--line)}
pre code{padding:0;background:none}
.wide{overflow-x:auto;margin:.8rem 0}
table{border-collapse:collapse;width:100%;font-size:.92rem;line-height:1.4}
th,td{text-align:left;vertical-align:top;padding:.4rem .8rem .4rem 0}
th{font-weight:600;color:var(--soft);border-bottom:2px solid var(--line)}
td{border-bottom:1px solid var(--line)}
td:first-child{min-width:8rem}
@media screen and (min-width:70rem){
body{display:grid;grid-template-columns:19rem minmax(0,1fr);column-gap:3rem}
header{grid-column:1/-1}
nav{position:sticky;top:1rem;align-self:start;max-height:calc(100vh - 2rem);overflow-y:auto}
nav small{display:none}
section:first-child h1{margin-top:0}}
@page{size:A4;margin:16mm 15mm 18mm}
@media print{
:root{color-scheme:light}
body{display:block;max-width:none;padding:0;font-size:10pt}
section{max-width:none;break-before:page}
pre{white-space:pre-wrap;border:.2mm solid #999}
.wide,pre{overflow:visible}
thead{display:table-header-group}
tr,li,pre{break-inside:avoid}
h1,h2,h3,thead{break-after:avoid}
a{color:inherit;text-decoration:none}}
";

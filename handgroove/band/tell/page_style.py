"""How the comparison page looks: paper, ink and four colours."""

STYLE = """
:root{--ink:#1d2329;--paper:#f7f4ee;--card:#fffdf9;--faint:#8b8f94;--hair:#ded8cc;
--kept:#0072b2;--moved:#56b4e9;--merged:#009e73;--out:#b9b4a8}
*{box-sizing:border-box;margin:0;padding:0}
body{background:var(--paper);color:var(--ink);font:15px/1.45 Georgia,"Times New Roman",serif;
max-width:1240px;margin:0 auto;padding:36px 28px 72px}
small,.over,li,th,td,text,header p{font-family:ui-sans-serif,system-ui,"Helvetica Neue",Arial,sans-serif}
.over{letter-spacing:.14em;text-transform:uppercase;font-size:11px;color:var(--faint)}
h1{font-size:40px;line-height:1.1;font-weight:400;margin:4px 0 6px}
h2{font-size:24px;font-weight:400;margin-bottom:10px}h2 small{font-size:13px;color:var(--faint);margin-left:8px}
header{border-bottom:3px double var(--ink);padding-bottom:20px;margin-bottom:28px}
ul{list-style:none;display:flex;flex-wrap:wrap}
.gauges{gap:12px 28px;margin:22px 0 18px}.gauges li{width:150px;font-size:12px;color:#4b5157}
.gauges .value{display:block;font:400 27px/1.1 Georgia,serif;color:var(--ink)}
.gauges i{display:block;height:4px;margin-top:5px;
background:linear-gradient(90deg,var(--kept) calc(var(--share)*100%),var(--hair) 0)}
.tracks{gap:4px 22px;font-size:13px}.tracks span{color:var(--faint);margin-left:5px}
.legend{gap:20px;margin-top:16px;font-size:12px}.legend i{display:inline-block;width:26px;height:6px;margin-right:7px;
vertical-align:middle}.kept i,i.kept{background:var(--kept)}.moved i,i.moved{background:var(--moved)}
.merged i,i.merged{background:var(--merged)}.out i,i.out{background:var(--out)}.legend .out i{height:2px}
section{background:var(--card);border:1px solid var(--hair);padding:20px 22px 16px;margin-bottom:24px}
svg{display:block;width:100%;margin-bottom:12px}
path.kept,path.moved,path.merged,path.out,path.piano{fill:none;stroke-width:3.4}
path.kept{stroke:var(--kept)}path.moved{stroke:var(--moved)}path.merged{stroke:var(--merged)}
path.out{stroke:var(--out);stroke-width:1.3}
path.piano{stroke-width:4;stroke:#444}path.piano.melody{stroke:#d55e00}path.piano.kick{stroke:#0072b2}
path.piano.snare{stroke:#e69f00}path.piano.bass{stroke:#56b4e9}path.piano.comping{stroke:#009e73}
path.piano.colour{stroke:#cc79a7}
.keys{fill:#f1ebdf}.line{stroke:#c9c1b1;stroke-width:1;fill:none}.rule{stroke:var(--hair);stroke-width:.6;fill:none}
text{fill:var(--ink)}text.name{font-size:12px;font-weight:600}text.about{font-size:10px;fill:var(--faint)}
text.number{font-size:10px;fill:var(--faint)}text.chord{font:italic 12.5px Georgia,serif}
table{width:100%;border-collapse:collapse;font-size:13px}tr{border-top:1px solid var(--hair)}
th{text-align:left;font-weight:600;padding:5px 10px 5px 0;width:230px}
th small{display:block;font-weight:400;color:var(--faint)}
td{padding:5px 0}td small{color:var(--faint)}td .why{display:block}td.bar{width:34%;padding-right:18px}
td.bar div{display:flex;height:9px;gap:1px}
@media print{body{padding:0;background:#fff}section{break-inside:avoid}}
"""

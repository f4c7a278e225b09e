"""Style and script of the setting-out page; both stand in the page, so that it works without a network.

Without the script the page still shows every card, and each circuit on the plan is a link to its own.
"""

from __future__ import annotations

STYLE = """
:root{color-scheme:light}*{box-sizing:border-box}
body{font:16px/1.45 system-ui,sans-serif;margin:0;color:#111;background:#fff}
header,main,footer{max-width:72rem;margin:0 auto;padding:.6rem .8rem}
h1{font-size:1.35rem;margin:.2rem 0}h2{font-size:1.15rem;margin:.2rem 0}h3{font-size:1rem;margin:1rem 0 .3rem}
p{margin:.35rem 0}h1,h2,p,li,dd,summary,option,figcaption{overflow-wrap:anywhere}
td,th{overflow-wrap:break-word}td bdi,th bdi{overflow-wrap:anywhere}
.caution{border:3px solid #111;padding:.3rem .8rem;margin:.8rem 0}.caution ul{margin:.3rem 0;padding-left:1.1rem}
.tools{display:flex;flex-wrap:wrap;gap:.6rem;align-items:end;margin:.6rem 0}
.tools label{display:flex;flex-direction:column;font-size:.85rem;font-weight:600;max-width:100%}
.tools label.row{flex-direction:row;align-items:center;gap:.4rem;min-height:2.75rem}
select,input,button{font:inherit;min-height:2.75rem;max-width:100%;border:2px solid #333;border-radius:.3rem;
padding:.2rem .6rem;background:#fff;color:#111}
input[type=checkbox]{min-height:0;width:1.4rem;height:1.4rem}button{cursor:pointer;min-width:2.75rem}
a:focus-visible,button:focus-visible,select:focus-visible,input:focus-visible,summary:focus-visible,
section:focus-visible{outline:3px solid #0b57d0;outline-offset:2px}
figure{margin:.8rem 0;border:1px solid #444}.view{position:relative}figcaption{padding:.3rem .6rem;font-weight:600}
.zoom{position:absolute;right:.4rem;top:.4rem;display:flex;gap:.3rem}
svg.plan{display:block;width:100%;min-height:20rem;max-height:75vh;background:#fff;touch-action:pan-y}
svg.plan.moved{touch-action:none;cursor:grab}
svg.plan *{vector-effect:non-scaling-stroke}
.room{fill:#f6f5f1;stroke:#999;stroke-width:1}.block{fill:#d6d6d6;stroke:#777;stroke-width:1}
.wall{fill:#5a5a5a;pointer-events:none}.cabinet{fill:#cec4aa;stroke:#222;stroke-width:1.5;pointer-events:none}
.joint{fill:none;stroke:#70207a;stroke-width:2.5;stroke-dasharray:10 3 2 3;pointer-events:none}
.floor{fill:#fbf3dd;stroke:#b8ab84;stroke-width:1;stroke-dasharray:6 3}
.hit{fill:none;stroke:transparent;stroke-width:12}
.flow,.back{fill:none;stroke-width:1.6;pointer-events:none}.flow{stroke:#be4a08}
.back{stroke:#005c80;stroke-dasharray:6 2.5}
.chosen .floor{fill:#ffe28a}.chosen .flow,.chosen .back{stroke-width:3}
.dim{opacity:.22}
text{font:600 180px system-ui,sans-serif;text-anchor:middle;fill:#111;pointer-events:none}
text.name{paint-order:stroke;stroke:#fff;stroke-width:3px}text.spot{font-size:100px;fill:#fff}
.marks{display:none;pointer-events:none}.marks.chosen{display:block}.marks circle{fill:#111;stroke:#fff;stroke-width:1}
.list{display:flex;flex-wrap:wrap;gap:.4rem;padding:0;margin:.4rem 0;list-style:none}
.list a{display:inline-block;min-height:2.75rem;padding:.55rem .8rem;border:2px solid #333;border-radius:.3rem;
color:#111;text-decoration:none;font-weight:600}.list a.chosen{background:#111;color:#fff}
.card{border:2px solid #111;border-radius:.3rem;padding:.6rem .8rem;margin:1rem 0;scroll-margin-top:.5rem}
dl{display:grid;grid-template-columns:auto 1fr;gap:.15rem .8rem;margin:.4rem 0}dt{font-weight:600}dd{margin:0}
ol.steps{padding-left:0;margin:.4rem 0;list-style:none}
ol.steps li{display:grid;grid-template-columns:2rem 1fr;gap:.1rem .5rem;padding:.45rem 0;border-top:1px solid #bbb}
.no{background:#111;color:#fff;border-radius:1rem;text-align:center;height:1.6rem;line-height:1.6rem;font-weight:700}
.mark{font-weight:700;display:block}.print{color:#7a1f6b;font-weight:700}
.key{background:#fff4cc}
table{border-collapse:collapse;width:100%;font-size:.9rem}th,td{border:1px solid #777;padding:.25rem .4rem;
text-align:left;vertical-align:top}thead th{background:#eee}summary{font-weight:600;padding:.6rem 0;cursor:pointer}
svg.studs{display:block;width:min(100%,34rem)}.stud{fill:#ddd}.against{fill:#111}.under{fill:#fff;stroke:#b00020;
stroke-width:2.5}.pipe{fill:none;stroke:#be4a08;stroke-opacity:.75}
[hidden]{display:none!important}
@media print{.tools,.zoom,.list{display:none}.card{break-inside:avoid}details>*{display:block}}
"""

SCRIPT = """
(function(){'use strict';
var all=function(q,e){return Array.prototype.slice.call((e||document).querySelectorAll(q))};
var cards=all('.card'),room=document.getElementById('room'),manifold=document.getElementById('manifold'),
back=document.getElementById('back'),
none=document.getElementById('none'),chosen='';
function fits(card){return (!room.value||card.dataset.rooms.split(' ').indexOf(room.value)>=0)&&
(!manifold.value||card.dataset.manifold===manifold.value)}
function remember(address){try{history.replaceState(null,'',address)}catch(e){/* shown inside another page */}}
function show(){
var shown=0;
cards.forEach(function(card){var on=fits(card)&&(!chosen||card.id===chosen);card.hidden=!on;shown+=on?1:0});
all('[data-card]').forEach(function(e){
e.classList.toggle('chosen',e.dataset.card===chosen);
if(!e.classList.contains('marks')){
var ok=fits(document.getElementById(e.dataset.card));
if(e.closest('svg')){e.classList.toggle('dim',!ok||(!!chosen&&e.dataset.card!==chosen))}else{e.parentNode.hidden=!ok}}});
back.hidden=!chosen;none.hidden=shown>0}
function choose(id,go){
chosen=document.getElementById(id)&&/^card-/.test(id)?id:'';
if(chosen&&!fits(document.getElementById(chosen))){room.value='';manifold.value=''}
show();
if(!chosen||!go){return}
var link=document.querySelector('svg.plan a[data-card="'+chosen+'"]');
if(link){zoomTo(link.closest('svg'),link.getBBox())}
var card=document.getElementById(chosen);card.focus({preventScroll:true});card.scrollIntoView({block:'nearest'})}
function prints(card){
var from=parseFloat(card.querySelector('.first').value),off=isNaN(from),down=card.querySelector('.down').checked;
all('.print',card).forEach(function(e){
var at=parseFloat(e.dataset.at),value=down?from-at:from+at;
e.hidden=off||value<0;e.textContent=off?'':e.dataset.word.replace('{value}',value.toFixed(2))})}
function box(svg){return svg.getAttribute('viewBox').split(' ').map(Number)}
function whole(svg){
var w=svg.dataset.whole.split(' ').map(Number),r=svg.clientWidth/svg.clientHeight,
width=Math.max(w[2],w[3]*r),height=width/r;
return [w[0]-(width-w[2])/2,w[1]-(height-w[3])/2,width,height]}
function set(svg,b){
var w=whole(svg),k=Math.min(1,Math.max(0.04,b[2]/w[2])),width=w[2]*k,height=w[3]*k,
x=Math.min(w[0]+w[2]-width,Math.max(w[0],b[0])),y=Math.min(w[1]+w[3]-height,Math.max(w[1],b[1]));
svg.setAttribute('viewBox',[x,y,width,height].map(Math.round).join(' '));
svg.classList.toggle('moved',k<1);
var unit=width/svg.clientWidth;
all('.marks circle',svg).forEach(function(e){e.setAttribute('r',9*unit)});
all('text',svg).forEach(function(e){var spot=e.classList.contains('spot');
e.style.fontSize=(spot?11:12)*unit+'px';if(spot){e.setAttribute('dy',4*unit)}
else if(e.dataset.wide){e.style.display=e.textContent.length*7*unit>e.dataset.wide*1?'none':''}})}
function zoom(svg,by,at){
var b=box(svg),x=at?at.x:b[0]+b[2]/2,y=at?at.y:b[1]+b[3]/2;
set(svg,[x-(x-b[0])*by,y-(y-b[1])*by,b[2]*by,b[3]*by])}
function zoomTo(svg,r){
var w=whole(svg),k=Math.max(r.width/w[2],r.height/w[3],0.15)*1.15;
set(svg,[r.x+r.width/2-w[2]*k/2,r.y+r.height/2-w[3]*k/2,w[2]*k,w[3]*k])}
function place(svg,e){var m=svg.getScreenCTM().inverse();return new DOMPoint(e.clientX,e.clientY).matrixTransform(m)}
all('svg.plan').forEach(function(svg){
svg.dataset.whole=svg.getAttribute('viewBox');set(svg,whole(svg));
var fingers={},moved=false;
function list(){return Object.keys(fingers).map(function(k){return fingers[k]})}
svg.addEventListener('pointerdown',function(e){if(!list().length){moved=false}fingers[e.pointerId]=e});
svg.addEventListener('pointermove',function(e){
var old=fingers[e.pointerId];if(!old){return}
if(Math.hypot(e.clientX-old.clientX,e.clientY-old.clientY)<(moved?1:7)){return}
var two=list();moved=true;
if(two.length===2){
var other=two[0].pointerId===e.pointerId?two[1]:two[0],
was=Math.hypot(old.clientX-other.clientX,old.clientY-other.clientY),
is=Math.hypot(e.clientX-other.clientX,e.clientY-other.clientY);
if(is>10){zoom(svg,was/is,place(svg,{clientX:(e.clientX+other.clientX)/2,clientY:(e.clientY+other.clientY)/2}))}
}else if(svg.classList.contains('moved')){
var a=place(svg,old),b=place(svg,e),v=box(svg);set(svg,[v[0]+a.x-b.x,v[1]+a.y-b.y,v[2],v[3]])}
fingers[e.pointerId]=e});
['pointerup','pointercancel','pointerleave'].forEach(function(n){
svg.addEventListener(n,function(e){delete fingers[e.pointerId]})});
svg.addEventListener('touchstart',function(e){if(e.touches.length>1){e.preventDefault()}},{passive:false});
svg.addEventListener('click',function(e){if(moved){e.preventDefault();e.stopPropagation();moved=false}},true);
svg.addEventListener('wheel',function(e){if(e.ctrlKey||e.metaKey){e.preventDefault();
zoom(svg,e.deltaY>0?1.2:1/1.2,place(svg,e))}},{passive:false})});
all('[data-zoom]').forEach(function(b){b.addEventListener('click',function(){
var svg=b.closest('figure').querySelector('svg');
if(b.dataset.zoom==='0'){set(svg,whole(svg))}else{zoom(svg,parseFloat(b.dataset.zoom))}})});
all('a[data-card]').forEach(function(a){a.addEventListener('click',function(e){e.preventDefault();
remember(a.getAttribute('href'));choose(a.dataset.card,true)})});
window.addEventListener('hashchange',function(){choose(location.hash.slice(1),true)});
back.addEventListener('click',function(){remember(location.pathname+location.search);choose('',false);
all('svg.plan').forEach(function(svg){set(svg,whole(svg))})});
[room,manifold].forEach(function(s){s.addEventListener('change',function(){chosen='';show()})});
cards.forEach(function(card){card.addEventListener('input',function(){prints(card)})});
window.addEventListener('resize',function(){all('svg.plan').forEach(function(svg){set(svg,whole(svg))})});
choose(location.hash.slice(1),true)})();
"""

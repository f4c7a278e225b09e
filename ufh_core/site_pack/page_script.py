"""Style and script of the page's chapters and forms. Without the script every chapter still opens and shuts."""

from __future__ import annotations

STYLE = """
nav.chapters ul{display:flex;flex-wrap:wrap;gap:.4rem;padding:0;margin:.6rem 0;list-style:none}
nav.chapters a{display:inline-block;min-height:2.75rem;padding:.55rem .8rem;border:2px solid #333;border-radius:.3rem;
color:#111;text-decoration:none;font-weight:600}
p.state{font-size:.8rem;overflow-wrap:anywhere}
details.chapter{border-top:2px solid #111;margin:.4rem 0;scroll-margin-top:.5rem}
details.chapter>summary h2{display:inline}
table.rows{margin:.5rem 0;overflow-wrap:anywhere}td.n{text-align:right}td.e{min-width:3rem;height:2rem}
form.record{display:grid;gap:.6rem;grid-template-columns:repeat(auto-fill,minmax(14rem,1fr));align-items:end;
border:2px solid #111;border-radius:.3rem;padding:.6rem .8rem;margin:.6rem 0}
form.record label{display:flex;flex-direction:column;font-size:.85rem;font-weight:600}
#kept{padding-left:1.1rem}#kept li{padding:.2rem 0;overflow-wrap:anywhere}#kept button{margin-left:.6rem}
button:disabled{border-color:#888;color:#595959;cursor:default}
@media (max-width:640px){table.rows,table.rows tbody,table.rows tr,table.rows td{display:block;width:100%}
table.rows thead{position:absolute;left:-9999px}table.rows tr{border:2px solid #111;margin:.6rem 0}
table.rows td{border:0;border-bottom:1px solid #bbb;text-align:left}
table.rows td:not([data-h=""])::before{content:attr(data-h) ": ";font-weight:600}}
@media print{nav.chapters,#record{display:none}details.chapter>*{display:block}}
"""

SCRIPT = """
(function(){'use strict';
var all=function(q,e){return Array.prototype.slice.call((e||document).querySelectorAll(q))};
var part=document.getElementById('record'),who=document.getElementById('who'),person=document.getElementById('person'),
kind=document.getElementById('kind'),list=document.getElementById('kept'),save=document.getElementById('save'),
key='warmloom-records-'+part.dataset.design,forms=all('form.record'),records=[];
function open(){var at=document.getElementById(location.hash.slice(1));
if(at&&at.matches('details.chapter')){at.open=true;at.scrollIntoView()}}
window.addEventListener('hashchange',open);
all('a.go').forEach(function(a){a.addEventListener('click',function(){var at=document.getElementById(
a.getAttribute('href').slice(1));if(at&&at.matches('details')){at.open=true}})});
try{records=JSON.parse(localStorage.getItem(key)||'[]');localStorage.setItem(key+'-tried','1')
}catch(e){document.getElementById('kept-where').hidden=false}
if(!Array.isArray(records)){records=[]}
function keep(){try{localStorage.setItem(key,JSON.stringify(records))}catch(e){
document.getElementById('kept-where').hidden=false}}
function show(){list.textContent='';save.disabled=!records.length;
records.forEach(function(r,k){var li=document.createElement('li'),b=document.createElement('button');
li.textContent=(r.title||r.kind)+': '+Object.keys(r.values).map(function(n){return r.values[n]}).join(', ');
b.type='button';b.textContent=list.dataset.remove;
b.addEventListener('click',function(){records.splice(k,1);keep();show()});li.appendChild(b);list.appendChild(li)})}
function choose(){forms.forEach(function(f){f.hidden=f.dataset.kind!==kind.value})}
kind.addEventListener('change',choose);choose();
forms.forEach(function(form){
var now=new Date(),day=new Date(now.getTime()-now.getTimezoneOffset()*60000).toISOString().slice(0,10);
all('input[type=date]',form).forEach(function(i){i.value=day});
form.addEventListener('submit',function(e){e.preventDefault();
var values={};all('[name]',form).forEach(function(i){if(i.value!==''){
values[i.name]=i.dataset.type==='number'?Number(i.value):i.value}});
records.push({kind:form.dataset.kind,title:form.dataset.title,role:who.value,person:person.value.trim(),
at:new Date().toISOString(),values:values});keep();show();
all('input[type=number],input[type=text]',form).forEach(function(i){i.value=i.name==='round'?i.value:''})})});
window.recordsFile=function(){return JSON.stringify({warmloom_records:1,design:part.dataset.design,records:records})};
save.addEventListener('click',function(){
var a=document.createElement('a');a.href=URL.createObjectURL(new Blob([window.recordsFile()],
{type:'application/json'}));a.download='site-records-'+part.dataset.design+'.json';a.click();
setTimeout(function(){URL.revokeObjectURL(a.href)},1000)});
show();open()})();
"""

//! probe
use sheet::eval::Eval; use sheet::register; use sheet::report;
#[test] fn probe(){
 for e in &sheet::examples::EXAMPLES { let mut d=sheet::link::read(e.link).unwrap().design;
  for ap in ["","either","centred","one_side"] {
   if !ap.is_empty() { d.enter_id("move.approach",ap); }
   let c=Eval::new(&d).simulating(); let t=std::time::Instant::now();
   let _=c.figures(0); let t0=t.elapsed(); let _=c.figures(1);
   println!("== {} {} {:?} {:?}",e.title,ap,t0,t.elapsed());
   for r in register::landing::RESULTS { let i=register::find(r.id).unwrap(); println!("  {:28} {}",r.id,report::display(&c,i,4)); }
   for s in sheet::finding::all(&c) { if s.finding.station==register::Station::Loop { println!("   {}: {}",s.finding.id,s.message(&c)); } }
   let case=sheet::landing::case(&c,0).unwrap(); println!("{:?}",case.legs); if ap.is_empty() {println!("{:?}",case.actuator);}
 }}
}

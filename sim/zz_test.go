package sim
import ("testing")
func TestAAHands(t *testing.T){
 for _,d:=range []string{"first-hold","come-back"} { for _,h:=range []string{"first-evening","beginner","regular","good","expert","sharp-ear","fast-hand"} {
  sum,f,rms,bk:=0.0,0.0,0.0,0.0; n:=0.0
  for seed:=uint64(1);seed<=8;seed++ { s:=prepared(t,d,seed); _,_,m:=fly(t,s,h); sum+=m.holdIndex(); f+=m.foundS; rms+=m.rms; n++; for _,b:=range m.backs{bk+=b/float64(len(m.backs))} }
  t.Logf("%s %s hold %.0f found %.1f rms %.0f back %.1f",d,h,sum/n,f/n,rms/n,bk/n)
 }}
  s:=prepared(t,"first-hold",2); r,_:=NewRun(s); h,_:=NewHand("regular",2,r.Setup()); var st State
  for !r.Done(){ r.Step(&st); h.Act(&st,r.Post); if st.Tick%2000==0 && st.Tick<80000 {hh:=h.(*humanHand); t.Logf("%.0f ph %d keyed %v off %.0f rate %.1f snr %.1f beacon %.1f agc %.1f got %v want %.0f did %.0f stop %d el %.1f rate %.1f",st.Tick.Seconds(),st.Phase,st.Keyed,st.OffsetHz,st.RateHzS,st.SNRDB,st.BeaconDB,st.AGCDB,hh.got,hh.want,hh.did,hh.search.stop,st.Look.ElevationDeg, hh.rate)}}
}

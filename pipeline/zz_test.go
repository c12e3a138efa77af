package pipeline_test
import ("testing";"os";"math/rand/v2";"path/filepath";"context";"boutwise/pipeline")
func TestZZDmg(t *testing.T){
 dir:=tinyPractice(t); runOnce(t,dir); want:=stateOf(t,dir)
 rng:=rand.New(rand.NewPCG(5,5))
 for n:=range 60 {
  v:=copyPractice(t,dir)
  p:=filepath.Join(v,"store","state.db")
  b,_:=os.ReadFile(p)
  if n%3==0 { b=b[:rng.IntN(len(b))] } else if n%3==1 { at:=rng.IntN(len(b)); for i:=at;i<min(len(b),at+512);i++{b[i]=byte(rng.Uint32())} } else {b[rng.IntN(len(b))]^=1<<rng.IntN(8)}
  os.WriteFile(p,b,0o600)
  func(){
   defer func(){ if r:=recover();r!=nil {t.Log(n,"PANIC",r)} }()
   _,err:=pipeline.Run(context.Background(),demoOptions(v)); if err!=nil { t.Log(err); _,err=pipeline.Repair(context.Background(),demoOptions(v)) }
   same:= err==nil
   if same { got:=stateOf(t,v); for k,x:=range want { if got[k]!=x {same=false} } }
   t.Log(n,err,same)
  }()
 }
}

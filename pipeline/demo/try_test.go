package demo
import ("testing";"time")
func TestTry(t *testing.T){ s:=time.Now(); tr,err:=Write("/tmp/dtry/p",Options{}); if err!=nil{t.Fatal(err)}; t.Log(time.Since(s), len(tr.Sessions), len(tr.Files))
n:=0.0; for _,x:=range tr.Sessions{n+=x.DurationS}; t.Log(n) }

package report
import ("testing";"os";"io";"github.com/chromedp/chromedp";"fairburn/browsertest";"fmt")
func TestZZ(t *testing.T){
  v,r:=sample()
  f,_:=os.Create("/tmp/repeat.html"); HTML(f,v,r,Options{Repeat:threeTesters()}); f.Close()
  os.WriteFile("/tmp/repeat.txt",[]byte(written(t,func(w io.Writer) error{return Terminal(w,v,r,Options{Repeat:threeTesters()})})),0o644)
  ctx:=browsertest.Context(t)
  for _,x:=range []struct{w int64;s string}{{390,"light"},{390,"dark"},{1280,"light"}} {
    openAt(t,ctx,"file:///tmp/repeat.html",x.w,x.s)
    value[bool](t,ctx,"(()=>{const s=document.getElementById('testers'); document.querySelectorAll('main > *').forEach(e=>{if(e!==s)e.remove()}); document.querySelector('header').remove(); return true})()")
    png,err:=chromedp.Run(ctx,chromedp.FullScreenshot(100))
    if err!=nil{t.Fatal(err)}
    os.WriteFile(fmt.Sprintf("/tmp/shot-%d-%s.png",x.w,x.s),png,0o644)
    fmt.Println(x, value[float64](t, ctx, "document.documentElement.scrollWidth - window.innerWidth"))
  }
}

package carry

import (
	"context"
	"testing"
)

func TestLook(t *testing.T) {
	trip, s := demo()
	a := choose(t, trip, s)
	for _, f := range a.Findings {
		t.Log(f)
	}
	t.Log(a.Among, a.Best.Kit.Name())
	for _, k := range a.Kits {
		t.Logf("%-24s start %.1f mean %.1f end %.1f wait %v cost %v dry %.3f need %.1f point %.1f [%.1f %.1f] %s %v", k.Kit.Name(), k.Start*1e3, k.Mean*1e3, k.End*1e3, k.Wait, k.Cost, k.Dry.Share, k.Need.Median*1e3, k.Need.Point*1e3, k.Need.Lo*1e3, k.Need.Hi*1e3, k.Need.By, k.Loads)
	}
	t.Log(len(a.Unbeaten))
	w, err := new(Planner).Sweep(context.Background(), trip, s, 20, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range w.Kits {
		t.Log(i, k.Name())
	}
	for _, x := range w.Turns {
		t.Logf("%+v", x)
	}
	ds, err := new(Planner).Drive(context.Background(), trip, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range ds {
		t.Logf("%+v", x)
	}
}

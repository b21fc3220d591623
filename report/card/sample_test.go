package card

import (
	"os"
	"strings"
	"sync"

	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// demo reads the program's own invented trial.
func demo() *trial.Trial {
	data, err := os.ReadFile("../../cmd/fairburn/demo.toml")
	if err != nil {
		panic(err)
	}
	x, _, err := sheet.Read("demo.toml", data)
	if err != nil {
		panic(err)
	}
	return x
}

func judged(x *trial.Trial) (*verdict.Verdict, *trial.Reduced) {
	r := x.Reduce()
	return verdict.Judge(r), r
}

// Trials that many tests read and none changes.
var (
	sample = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return judged(demo()) })
	few    = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) {
		x := demo()
		x.Burns = x.Burns[:8]
		return judged(x)
	})
	troubled = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return judged(trouble()) })
)

const hostile = `<script>alert("x")</script> & <b>bold</b> {{.Seed}} javascript:alert(1)`

// strange are names of entries: markup, other scripts, and a long one.
var strange = map[string]string{"Tansy": hostile, "Burdock": "茶碗の火 ⌀66 🔥", "Sorrel": "שרון Ωμέγα", "Yarrow": strings.Repeat("Very long name of a burner ", 12)}

// trouble is the demo with names that are hard to set.
func trouble() *trial.Trial {
	x := demo()
	x.Title, x.Question, x.Notes, x.Site.Name = hostile, hostile+"?", strings.Repeat(hostile+" ", 20), "小屋"
	for i := range x.Entries {
		x.Entries[i].Name = strange[x.Entries[i].Name]
	}
	for i := range x.Burns {
		x.Burns[i].Entry = strange[x.Burns[i].Entry]
		x.Burns[i].Notes += hostile
	}
	return x
}

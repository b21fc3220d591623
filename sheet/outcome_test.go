package sheet

import "testing"

// TestABoilThatCannotBeReadIsNoFailure: a slip of the pen must not count as a
// burn that did not boil.
func TestABoilThatCannotBeReadIsNoFailure(t *testing.T) {
	for line, void := range map[string]string{
		`boil = "6.40"`:                         "its boil could not be read",
		`boil = 6:40`:                           "its boil could not be read",
		`boil: "6:40"`:                          "its boil could not be read",
		`boil = "never"`:                        "its boil could not be read",
		`boil = "6:40"`:                         "",
		``:                                      "",
		`void = "spilt"` + "\n" + `boil = 6:40`: "spilt",
	} {
		tr, _, err := Read("s.toml", []byte("fairburn = 1\n[[burn]]\nid = 1\nout = \"9:00\"\n"+line+"\n"))
		if err != nil || len(tr.Burns) != 1 || tr.Burns[0].Void != void {
			t.Errorf("%q: %+v, %v; want void %q", line, tr.Burns, err, void)
		}
	}
	tr, _, err := ReadTable("t.csv", []byte("id,entry,boil,out\n1,a,6.40,9:00\n2,a,-,9:00\n"), nil)
	if err != nil || tr.Burns[0].Void == "" || tr.Burns[1].Void != "" {
		t.Errorf("table: %+v, %v", tr.Burns, err)
	}
}

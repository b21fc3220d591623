package trial

import "testing"

func TestNameBurns(t *testing.T) {
	for _, row := range []struct {
		ids  []string
		want string
	}{
		{[]string{"7"}, "burn 7"},
		{[]string{"9", "3", "7"}, "burns 3, 7 and 9"},
		{[]string{"1", "2"}, "burns 1 and 2"},
		{[]string{"5", "4", "3", "2", "1"}, "burns 1 to 5"},
		{[]string{"1", "2", "3", "8", "10", "11", "12"}, "burns 1 to 3, 8 and 10 to 12"},
		{[]string{"b", "1", "2", "3"}, "burns 1 to 3 and b"},
		{nil, "burns "},
	} {
		if got := NameBurns(row.ids); got != row.want {
			t.Errorf("%q: %q, expected %q", row.ids, got, row.want)
		}
	}
}

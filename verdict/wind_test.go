package verdict

import "testing"

func TestWordsForTheWind(t *testing.T) {
	for _, calm := range []string{"", "still", "Still air", "calm", "no wind", "none", "indoors", "draught", "light air", "light airs", "a slight draught", "hardly any wind", "not a breath", "fan off"} {
		if windy(calm) {
			t.Errorf("%q is taken for wind", calm)
		}
	}
	for _, w := range []string{"breeze", "light breeze", "wind", "light wind", "fan low", "gusts", "3 mph?"} {
		if !windy(w) {
			t.Errorf("%q is taken for air that hardly moves", w)
		}
	}
}

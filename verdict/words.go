package verdict

// Rooms that compare verdicts say sizes in the same words.

// Percent writes a share with the digits it deserves: "4 %", "0.6 %".
func Percent(share float64) string { return percent(share) }

// Span writes an interval of ratios as a size of change: "4 to 14 %", or with
// its directions where it holds no change: "from 3 % less to 2 % more".
func Span(lo, hi float64) string { return span(lo, hi) }

// Confidence writes a level: "95 %".
func Confidence(level float64) string { return confidence(level) }

// List joins words as a sentence does: "a", "a and b", "a, b and c".
func List(words []string) string { return listWords(words, "and") }

package trial

import (
	"slices"
	"strconv"
	"strings"
)

// NameBurns names burns in words, in the order of their ids, runs of three or
// more numbers in one: "burn 7", "burns 3, 7 and 9", "burns 1 to 5 and 8".
func NameBurns(ids []string) string {
	sorted := slices.SortedFunc(slices.Values(ids), CompareIDs)
	if len(sorted) == 1 {
		return "burn " + sorted[0]
	}
	var parts []string
	for i := 0; i < len(sorted); {
		end := i
		for end+1 < len(sorted) && follows(sorted[end], sorted[end+1]) {
			end++
		}
		if end-i < 2 {
			end = i
			parts = append(parts, sorted[i])
		} else {
			parts = append(parts, sorted[i]+" to "+sorted[end])
		}
		i = end + 1
	}
	if n := len(parts) - 1; n > 0 {
		return "burns " + strings.Join(parts[:n], ", ") + " and " + parts[n]
	}
	return "burns " + strings.Join(parts, "")
}

// follows reports whether b is the number after a.
func follows(a, b string) bool {
	x, errX := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	return errX == nil && errY == nil && y == x+1
}

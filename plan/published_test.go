package plan

import (
	"math"
	"testing"

	"fairburn/quantity"
)

// TestPublishedNeeded checks the number of burns against R 4.2.2,
// stats::power.t.test(delta = log(1+difference), sd = sqrt(log(1+cv^2)),
// sig.level = 0.05/pairs, power = 0.8, strict = TRUE), the smallest whole n that
// reaches the power; two entries: type = "paired" with sd·sqrt(2); one entry:
// type = "one.sample".
func TestPublishedNeeded(t *testing.T) {
	for _, row := range []struct {
		entries        int
		cv, difference quantity.Ratio
		want           int
	}{
		{2, 0.02, 0.03, 10}, {2, 0.02, 0.05, 5}, {2, 0.02, 0.10, 3}, // paired
		{2, 0.03, 0.03, 19}, {2, 0.03, 0.05, 9}, {2, 0.03, 0.10, 4},
		{2, 0.05, 0.05, 19}, {2, 0.05, 0.10, 7}, {2, 0.05, 0.20, 4},
		{2, 0.08, 0.05, 45}, {2, 0.08, 0.10, 14}, {2, 0.08, 0.20, 6},
		{4, 0.02, 0.03, 13}, {4, 0.02, 0.05, 7}, {4, 0.02, 0.10, 4}, // two.sample, 6 pairs
		{4, 0.03, 0.03, 27}, {4, 0.03, 0.05, 12}, {4, 0.03, 0.10, 5},
		{4, 0.05, 0.05, 28}, {4, 0.05, 0.10, 9}, {4, 0.05, 0.20, 4},
		{4, 0.08, 0.05, 67}, {4, 0.08, 0.10, 19}, {4, 0.08, 0.20, 7},
		{8, 0.02, 0.03, 17}, {8, 0.02, 0.05, 8}, {8, 0.02, 0.10, 4}, // two.sample, 28 pairs
		{8, 0.03, 0.03, 35}, {8, 0.03, 0.05, 15}, {8, 0.03, 0.10, 6},
		{8, 0.05, 0.05, 36}, {8, 0.05, 0.10, 12}, {8, 0.05, 0.20, 5},
		{8, 0.08, 0.05, 87}, {8, 0.08, 0.10, 25}, {8, 0.08, 0.20, 9},
		{1, 0.03, 0.05, 6}, {1, 0.05, 0.05, 11}, {1, 0.08, 0.05, 24}, // one.sample
	} {
		sd := logSD(float64(row.cv))
		n, err := comparison{row.entries, 0.05, 0.8}.needed(spread{low: sd, high: sd}, row.difference)
		if err != nil || n.Least != row.want || n.Most != row.want {
			t.Errorf("%d entries, scatter %g, difference %g: %d to %d burns (%v), want %d", row.entries, row.cv, row.difference, n.Least, n.Most, err, row.want)
		}
	}
}

// TestPublishedShown checks the smallest difference against the same function,
// solved for delta with tol = 1e-12.
func TestPublishedShown(t *testing.T) {
	for _, row := range []struct {
		entries, n int
		cv, want   float64 // want on the log scale
	}{
		{4, 5, 0.03, 0.0848923302},
		{4, 5, 0.08, 0.226069431},
		{8, 8, 0.05, 0.120214787},
		{3, 4, 0.03, 0.0911083199},
		{6, 12, 0.03, 0.0513227505},
		{2, 4, 0.03, 0.0902609413},
		{2, 8, 0.05, 0.0816929751},
		{1, 5, 0.05, 0.084047357},
	} {
		got, err := comparison{row.entries, 0.05, 0.8}.shown(row.n, logSD(row.cv))
		if log := math.Log1p(float64(got)); err != nil || math.Abs(log-row.want) > 2e-6*row.want {
			t.Errorf("%d entries, %d burns, scatter %g: shows %.9f (%v), want %.9f", row.entries, row.n, row.cv, log, err, row.want)
		}
	}
}

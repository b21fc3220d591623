package stats

import (
	"fmt"
	"math"
	"testing"
)

// The values of this file were computed for this project with other programs;
// they are published nowhere.

// Penguins: body mass means and standard deviations as in public test suites;
// intervals and p by R 4.2.2 and an independent studentized range.
func TestGamesHowellOnPenguins(t *testing.T) {
	var data struct {
		Penguins struct {
			Mean, SD    []float64
			N           []int
			GamesHowell []publishedDifference
		}
	}
	readTestdata(t, "worked.json", &data)
	var groups []Summary
	for i, n := range data.Penguins.N {
		groups = append(groups, Summary{N: n, Mean: data.Penguins.Mean[i], SD: data.Penguins.SD[i]})
	}
	p := must[Pairs](t)(AllPairs(groups, nil, 0.95))
	if p.Method != GamesHowell {
		t.Errorf("method: got %s, want %s", p.Method, GamesHowell)
	}
	comparePairs(t, p.Differences, data.Penguins.GamesHowell, 1e-7)
}

// Sleep data (Student 1908), R 4.2.2.
func TestNextLessOnSleep(t *testing.T) {
	c := readPublished(t).TwoGroups.Welch[0]
	near(t, "probability", must[float64](t)(NextLess(Summarize(c.X), Summarize(c.Y))), 0.709161431024, 1e-8)
}

// PlantGrowth, R 4.2.2: integrate over pieces of 0.1 from 0 to 10; the piece
// sums are good to about 1e-8, as their own total of 0.99999999 shows.
func TestLeastOnPlantGrowth(t *testing.T) {
	groups := plantGroups(t)
	next := []StudentsT{must[StudentsT](t)(NextValue(groups[0])), must[StudentsT](t)(NextValue(groups[2]))}
	near(t, "ctrl below trt2 next", Least(next)[0], 0.72509335671446, 1e-8)
	var means []StudentsT
	for _, g := range groups {
		means = append(means, must[StudentsT](t)(TrueMean(g)))
	}
	for i, want := range []float64{0.137151807920588, 0.861921236256787, 0.000926946802789319} {
		within(t, fmt.Sprintf("group %d least in the long run", i+1), Least(means)[i], want, 2e-8)
	}
}

// Values needed in each group for power 0.8 at two-sided 5 % on a log scale, by
// R 4.2.2: one pair, then all pairs of 4 and of 8 groups.
func TestNeededOnCoefficientsOfVariation(t *testing.T) {
	for _, row := range []struct {
		cv, difference float64
		pair, of4, of8 int
	}{
		{0.02, 0.03, 9, 13, 17}, {0.02, 0.05, 4, 7, 8}, {0.02, 0.10, 3, 4, 4},
		{0.03, 0.03, 18, 27, 35}, {0.03, 0.05, 8, 12, 15}, {0.03, 0.10, 3, 5, 6},
		{0.05, 0.05, 18, 28, 36}, {0.05, 0.10, 6, 9, 12}, {0.05, 0.20, 3, 4, 5},
		{0.08, 0.05, 44, 67, 87}, {0.08, 0.10, 13, 19, 25}, {0.08, 0.20, 5, 7, 9},
	} {
		sd := math.Sqrt(math.Log1p(row.cv * row.cv))
		for _, c := range []struct{ comparisons, want int }{{1, row.pair}, {6, row.of4}, {28, row.of8}} {
			p := Plan{Difference: math.Log1p(row.difference), SDA: sd, SDB: sd, Alpha: 0.05, Comparisons: c.comparisons}
			if n := must[int](t)(p.Needed(0.8)); n != c.want {
				t.Errorf("cv %g, difference %g, %d comparisons: got %d, want %d", row.cv, row.difference, c.comparisons, n, c.want)
			}
		}
	}
}

// 80 % upper limit of a standard deviation from n values, over the estimate; R 4.2.2.
func TestUpperSDFactors(t *testing.T) {
	for _, row := range []struct{ n, factor float64 }{{3, 2.12}, {5, 1.56}, {8, 1.35}, {12, 1.25}} {
		within(t, fmt.Sprintf("n %g", row.n), must[float64](t)(UpperSD(1, row.n-1, 0.8)), row.factor, 0.005)
	}
}

// Half width of the 95 % interval of the next value over the standard deviation, by hand from t tables.
func TestNextIntervalFactors(t *testing.T) {
	for _, row := range []struct {
		n      int
		factor float64
	}{{3, 4.97}, {6, 2.78}} {
		within(t, fmt.Sprintf("n %d", row.n), must[Interval](t)(NextInterval(Summary{N: row.n, SD: 1}, 0.95)).Hi, row.factor, 0.005)
	}
}

// Dunnett's limit in full digits, R 4.2.2 with multcomp 1.4-22.
func TestDunnettLimitInFull(t *testing.T) {
	near(t, "limit", DunnettLimit(3, 20, 0.05), 2.192283, 1e-6)
}

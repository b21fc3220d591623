package stats

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// blockSets are published data sets with their sources.
type blockSets struct {
	Norris struct {
		Y, X, B, Se []float64
		ResidualSD  float64 `json:"resid_sd"`
		Tolerance   float64 `json:"tolerance_rel"`
	}
	Longley struct {
		Y, B, Se  []float64
		X         [][]float64 `json:"x_rows"`
		RSS       float64
		Tolerance float64 `json:"tolerance_rel"`
	}
	NPK struct {
		Block, N, P, K []int
		Yield          []float64
		SS, DF         map[string]float64
		FN             float64 `json:"F_N"`
		PN             float64 `json:"p_N"`
		Tolerance      float64 `json:"tolerance_rel"`
	}
	Rail struct {
		Groups    [][]float64
		Mean, SR  float64
		SL2       float64 `json:"sL2"`
		Sr        float64 `json:"s_r"`
		Tolerance float64 `json:"tolerance_rel"`
	}
}

func readBlockSets(t *testing.T) (s blockSets) {
	t.Helper()
	text, err := os.ReadFile("testdata/blocks.json")
	if err == nil {
		err = json.Unmarshal(text, &s)
	}
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPublishedRegression(t *testing.T) {
	s := readBlockSets(t)
	design := func(rows [][]float64) *mat.Dense {
		x := mat.NewDense(len(rows), len(rows[0])+1, nil)
		for i, r := range rows {
			x.SetRow(i, append([]float64{1}, r...))
		}
		return x
	}
	norris := make([][]float64, len(s.Norris.X))
	for i, x := range s.Norris.X {
		norris[i] = []float64{x}
	}
	for _, c := range []struct {
		name         string
		rows         [][]float64
		y, b, se     []float64
		sd, relative float64
	}{
		// NIST StRD, certified values; Longley's residual sum of squares on 9 degrees of freedom.
		{"Norris", norris, s.Norris.Y, s.Norris.B, s.Norris.Se, s.Norris.ResidualSD, s.Norris.Tolerance},
		{"Longley", s.Longley.X, s.Longley.Y, s.Longley.B, s.Longley.Se, math.Sqrt(s.Longley.RSS / 9), s.Longley.Tolerance},
	} {
		f, err := LeastSquares(rowsOf(design(c.rows)), c.y)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		for j := range c.b {
			near(t, c.name+" coefficient", f.Coefficients[j], c.b[j], c.relative)
			near(t, c.name+" standard error", f.SE[j], c.se[j], c.relative)
			near(t, c.name+" √covariance", math.Sqrt(f.Covariance(j, j)), c.se[j], c.relative)
		}
		near(t, c.name+" residual sd", f.ResidualSD, c.sd, c.relative)
	}
}

// The npk field trial: sequential sums of squares in the order of the source.
func TestPublishedSequentialSums(t *testing.T) {
	npk := readBlockSets(t).NPK
	n := len(npk.Yield)
	x := mat.NewDense(n, 12, nil)
	for i := range n {
		N, P, K := float64(npk.N[i]), float64(npk.P[i]), float64(npk.K[i])
		row := make([]float64, 12)
		row[0] = 1
		if b := npk.Block[i]; b > 1 {
			row[b-1] = 1
		}
		copy(row[6:], []float64{N, P, K, N * P, N * K, P * K})
		x.SetRow(i, row)
	}
	f, err := LeastSquares(rowsOf(x), npk.Yield)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "block", f.SequentialSS(1, 6), npk.SS["block"], npk.Tolerance)
	for j, name := range []string{"N", "P", "K", "N:P", "N:K", "P:K"} {
		near(t, name, f.SequentialSS(6+j, 7+j), npk.SS[name], npk.Tolerance)
	}
	near(t, "residual", f.RSS, npk.SS["resid"], npk.Tolerance)
	near(t, "degrees of freedom", float64(f.DF), npk.DF["resid"], 0)
	ratio := f.SequentialSS(6, 7) / (f.RSS / float64(f.DF))
	near(t, "F of N", ratio, npk.FN, npk.Tolerance)
	near(t, "p of N", distuv.F{D1: 1, D2: float64(f.DF)}.Survival(ratio), npk.PN, npk.Tolerance)
}

func TestPublishedBlockVariance(t *testing.T) {
	rail := readBlockSets(t).Rail
	var d Blocked
	for b, g := range rail.Groups {
		for _, v := range g {
			d.Values, d.Group, d.Block = append(d.Values, v), append(d.Group, 0), append(d.Block, b)
		}
	}
	f, err := FitBlocks(d)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", f.Means[0], rail.Mean, rail.Tolerance)
	near(t, "σ", f.Model.ResidualSD, rail.Sr, rail.Tolerance)
	near(t, "σ²_block", f.BlockVariance(), rail.SL2, rail.Tolerance)
}

// R 4.2.2, TukeyHSD(aov(breaks ~ wool + tension, warpbreaks), "tension"); the
// same figures to four decimals on R's help page. Data: Tippett, 1950,
// Technological Applications of Statistics, p. 106 (R data set warpbreaks).
func TestPublishedBlockedTukey(t *testing.T) {
	breaks := []float64{
		26, 30, 54, 25, 70, 52, 51, 26, 67, 18, 21, 29, 17, 12, 18, 35, 30, 36, 36, 21, 24, 18, 10, 43, 28, 15, 26,
		27, 14, 29, 19, 29, 31, 41, 20, 44, 42, 26, 19, 16, 39, 28, 21, 39, 29, 20, 21, 24, 17, 13, 15, 15, 16, 28,
	}
	d := Blocked{Values: breaks}
	for n := range breaks { // wool A, B; within each tension L, M, H, nine looms each
		d.Group, d.Block = append(d.Group, n/9%3), append(d.Block, n/27)
	}
	pairs, err := BlockedTukey(d, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ d, lo, hi, p float64 }{ // L−M, L−H, M−H
		{10, 0.6465792731564, 19.35342072684, 0.0336262189114},
		{14.722222222222, 5.3688015, 24.07564294907, 0.0011217877},
		{4.722222222222, -4.6311985, 14.07564294907, 0.4474210214},
	} {
		near(t, "difference", pairs.Differences[i].Estimate, want.d, 1e-10)
		near(t, "lower limit", pairs.Differences[i].Lo, want.lo, 2e-5) // R's quantile stops at 1e-4
		near(t, "upper limit", pairs.Differences[i].Hi, want.hi, 2e-5)
		near(t, "p", pairs.Differences[i].P, want.p, 1e-5)
	}
}

// Missing cells: R 4.2.2, d <- npk[-c(1,10,17),], trt <- paste0(N, P),
// lm(yield ~ trt + block, d), differences and their standard errors from coef
// and vcov, p by ptukey(√2·|d|/se, 4, 12), adjusted means = effect + mean of the
// block effects.
func TestPublishedMissingCells(t *testing.T) {
	npk := readBlockSets(t).NPK
	var d Blocked
	for n, y := range npk.Yield {
		if n == 0 || n == 9 || n == 16 {
			continue
		}
		d.Values, d.Group, d.Block = append(d.Values, y), append(d.Group, 2*npk.N[n]+npk.P[n]), append(d.Block, npk.Block[n]-1)
	}
	f, err := FitBlocks(d)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "s", f.Model.ResidualSD, 4.526011485022, 1e-11)
	for g, want := range []float64{51.71666666667, 52.83801498127, 59.21666666667, 58.09644194757} {
		near(t, "adjusted mean", f.Means[g], want, 1e-11)
	}
	pairs, err := BlockedTukey(d, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ d, se, p float64 }{
		{-1.1213483146067, 2.7836889652932, 0.9768888632416},
		{-7.5, 2.61309394923252, 0.05925825614501},
		{-6.3797752808989, 3.0215758566458, 0.2043088597235},
		{-6.3786516853933, 2.7836889652932, 0.1546211833546},
		{-5.2584269662921, 3.2183028158908, 0.3973943597339},
		{1.1202247191011, 3.0215758566458, 0.9817778858082},
	} {
		near(t, "difference", pairs.Differences[i].Estimate, want.d, 1e-11)
		near(t, "standard error", pairs.Differences[i].SE, want.se, 1e-11)
		near(t, "p", pairs.Differences[i].P, want.p, 1e-6)
	}
}

// Student's sleep data (1908) as paired: R 4.2.2, t.test(..., paired = TRUE), as
// on R's help page.
func TestPublishedPairedT(t *testing.T) {
	d := complete([][]float64{
		{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0},
		{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4},
	})
	c, err := BlockedPairs(d, nil, 0.95, 1)
	if err != nil {
		t.Fatal(err)
	}
	p := c.Differences[0]
	near(t, "difference", p.Estimate, -1.58, 1e-12)
	near(t, "t", p.Estimate/p.SE, -4.0621276834, 1e-10)
	near(t, "degrees of freedom", p.DF, 9, 0)
	near(t, "p", p.P, 0.002832890197, 1e-9)
	near(t, "lower limit", p.Lo, -2.459885763277, 1e-11)
	near(t, "upper limit", p.Hi, -0.700114236723, 1e-11)
}

// Depression scores of nine patients: M. Hollander and D. A. Wolfe, 1973,
// Nonparametric Statistical Methods, p. 29; R 4.2.2, wilcox.test(x, y,
// paired = TRUE, conf.int = TRUE): estimate 0.46, limits 0.010 and 0.786. The
// confidence is 1 − 2·P(V ≤ 5) = 1 − 2·0.01953125, R psignrank(5, 9).
func TestPublishedSignedRank(t *testing.T) {
	x := []float64{1.83, 0.50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30}
	y := []float64{0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29}
	got, err := SignedRankShift(complete([][]float64{x, y}).Within(0, 1), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "estimate", got.Estimate, 0.46, 1e-12)
	near(t, "lower limit", got.Lo, 0.010, 1e-10)
	near(t, "upper limit", got.Hi, 0.786, 1e-12)
	near(t, "confidence", got.Reached, 0.9609375, 1e-12)
	for _, row := range []struct {
		n, q    int     // R 4.2.2, qsignrank(0.025, n)
		outside float64 // R 4.2.2, psignrank(q - 1, n)
	}{{6, 1, 0.015625}, {7, 3, 0.0234375}, {8, 4, 0.01953125}, {9, 6, 0.01953125}, {12, 14, 0.021240234375}} {
		q, outside := signedRankQuantile(row.n, 0.025)
		near(t, "quantile", float64(q), float64(row.q), 0)
		near(t, "P(V < q)", outside, row.outside, 1e-12)
	}
}

// Darwin's maize, crossed less self-fertilized in eighths of an inch: R. A.
// Fisher, 1935, The Design of Experiments, section 21: the total of 314 is
// reached or passed in 863 of 32 768 arrangements of the signs (from memory).
func TestPublishedSignFlip(t *testing.T) {
	d := complete([][]float64{{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}, make([]float64, 15)})
	got, err := PermuteMeans(d.Arms(0, 1), Resampling{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "p, one side", got.PAbove, 863.0/32768, 1e-12)
	near(t, "p, two sides", got.P, 1726.0/32768, 1e-12)
	near(t, "least p", got.SmallestP, 2.0/32768, 1e-12)
}

package uncertainty

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"fairburn/stats"
)

// Expanded is a statement "Value ± U at this level".
type Expanded struct {
	Level float64 `json:"level"`        // coverage probability, such as 0.95
	Nu    float64 `json:"nu,omitempty"` // degrees of freedom used: NuEff cut to an integer; 0 means infinite
	K     float64 `json:"k"`            // coverage factor
	U     float64 `json:"U"`            // expanded uncertainty, K times the standard uncertainty
	Low   float64 `json:"low"`          // Value − U
	High  float64 `json:"high"`         // Value + U
}

// Expanded returns the interval that holds the value at the level, by Student's
// t with the effective degrees of freedom cut down to an integer. It is an error
// if the level is not between 0 and 1 or the output is not known.
//
// Source: JCGM 100:2008, G.4.1 and G.6.4.
func (b Budget) Expanded(level float64) (Expanded, error) {
	if !finite(b.Value) || !finite(b.U) {
		return Expanded{}, fmt.Errorf("expand %s: value %g with standard uncertainty %g is not known", b.Output, b.Value, b.U)
	}
	k, err := CoverageFactor(level, b.NuEff)
	if err != nil {
		return Expanded{}, fmt.Errorf("expand %s: %w", b.Output, err)
	}
	return Expanded{
		Level: level, Nu: whole(b.NuEff), K: k, U: k * b.U,
		Low: b.Value - k*b.U, High: b.Value + k*b.U,
	}, nil
}

// CoverageFactor returns t_p(ν): the two-sided factor that holds the share
// level of Student's distribution. ν is cut down to an integer (the guide also
// allows interpolation; cutting never claims more); ν of 0 or +Inf gives the
// normal factor. It is an error if the level is not between 0 and 1 or ν is below 1.
//
// Source: JCGM 100:2008, G.3.2, G.4.1 and table G.2.
func CoverageFactor(level, nu float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("coverage level is %g, expected between 0 and 1, both excluded, such as 0.95", level)
	}
	n, p := whole(nu), (1+level)/2
	switch {
	case n == 0 && (nu == 0 || math.IsInf(nu, 1)), n > normalFrom:
		return mathext.NormalQuantile(p), nil
	case n >= 1:
		return stats.StudentsT{Sigma: 1, Nu: n}.Quantile(p), nil
	}
	return 0, fmt.Errorf("degrees of freedom are %g, expected 1 or more, or 0 for infinite", nu)
}

// normalFrom is where Student's t is taken for normal: at 0.95 the factors
// differ by 1.2e-6 of themselves there, and the incomplete beta function of the
// library loses that much by 1e9.
const normalFrom = 1e6

// whole cuts degrees of freedom down to an integer, and infinite ones to 0. The
// formula of Welch and Satterthwaite gives 4 back as 3.9999999999999996 for one
// input of 4; that is rounding, not less than 4.
func whole(nu float64) float64 {
	if math.IsInf(nu, 1) {
		return 0
	}
	return math.Floor(nu * (1 + 1e-12))
}

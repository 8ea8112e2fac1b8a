package sim

import (
	"math"
	"strconv"
	"time"

	"holdbench/plant/portable"
)

// Expected are expectations that the run meets, with some margin for figures. They are what the
// run gave, not what is right: they have to be reviewed.
func Expected(r *Result) Expect {
	return Expect{
		End: r.End, Verdict: r.Verdict, Cause: causesOf(r), Class: r.Class,
		Within:      roundedWithin(r.DurationS),
		LoadDropMM:  roundedDrop(r.LoadDropMM),
		Obligations: brokenAsRun(r.Obligations),
	}
}

// causesOf is the cause of a run as an expectation; a run without one is none.
func causesOf(r *Result) Causes {
	if r.Cause == "" {
		return nil
	}
	return Causes{r.Cause}
}

// roundedWithin is a whole number of seconds with at most two significant digits, at least one
// second and a tenth above the duration in s; 0, which is no expectation, for a duration that
// no document can hold.
func roundedWithin(durationS float64) time.Duration {
	s := roundedUp(math.Ceil(max(durationS+1, 1.1*durationS)))
	if !(s > 0 && s <= math.MaxInt64/float64(time.Second)-1) { // nan included
		return 0
	}
	return time.Duration(s) * time.Second
}

// leastDropMM is less than matters on any rig: a tighter limit would only test noise.
const leastDropMM = 0.1

// roundedDrop is a limit with two digits in mm, nil for a drop that is no number.
func roundedDrop(dropMM float64) *Bounds {
	most := roundedUp(max(dropMM, leastDropMM))
	if math.IsNaN(most) || math.IsInf(most, 0) {
		return nil
	}
	return &Bounds{AtMost: &most}
}

// roundedUp is the next decimal with two digits that is not below x. Below 0.01, and if x is not
// finite, it is x itself.
func roundedUp(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0.01 {
		return x
	}
	power := int(math.Floor(portable.Log10(x))) - 1
	digits := math.Ceil(x / math.Pow10(power))
	for digits--; ; digits++ { // the division may have been rounded either way
		if up := decimal(digits, power); up >= x {
			return up
		}
	}
}

// decimal is digits·10^power, as exactly as a float can be.
func decimal(digits float64, power int) float64 {
	// Out of range, the result beside the error is the nearest value, an infinity or 0.
	x, _ := strconv.ParseFloat(strconv.FormatFloat(digits, 'f', -1, 64)+"e"+strconv.Itoa(power), 64)
	return x
}

func brokenAsRun(list []Obligation) Broken {
	var broken Broken
	for _, o := range list {
		if !o.Kept {
			broken = append(broken, BrokenObligation{Broken: o.Name, Why: "taken from the run: " + textOr(o.Detail, "broken", "")})
		}
	}
	return broken
}

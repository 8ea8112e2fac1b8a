package sweep

import (
	"holdbench/plant/portable"
)

// Tilt shifts and narrows the draws of one spread, so that rare events become frequent. It acts
// on the standard normal number z of a draw: z = Shift + Scale z₀.
type Tilt struct {
	Key   string  `json:"key"`
	Shift float64 `json:"shift"`
	Scale float64 `json:"scale"`
}

// defensiveShare is the share of runs that are drawn from the spreads without a tilt. It limits
// every weight to 1/defensiveShare, so that no single run dominates the estimate (a defensive
// mixture: Hesterberg, Technometrics 37, 1995; from memory).
const defensiveShare = 0.1

// applyTilt moves the draws, unless they are to stay, and returns the weight of the run:
//
//	w = f(z)/(u f(z) + (1 − u) Π q(z)),  u = defensiveShare
//
// with f the density of the standard normal draws and q that of the tilted ones. Source:
// importance sampling, as in Owen, Monte Carlo theory, methods and examples, chapter 9 (from
// memory).
func applyTilt(tilts []Tilt, z []float64, stays bool) float64 {
	likelihood := 0.0 // log Π q/f
	for i, t := range tilts {
		if t.Scale == 0 {
			continue // a table has nothing to shift
		}
		if !stays {
			z[i] = t.Shift + float64(t.Scale*z[i])
		}
		tilted := (z[i] - t.Shift) / t.Scale
		likelihood += float64((float64(z[i]*z[i])-float64(tilted*tilted))/2) - portable.Log(t.Scale)
	}
	return 1 / (defensiveShare + float64((1-defensiveShare)*portable.Exp(likelihood)))
}

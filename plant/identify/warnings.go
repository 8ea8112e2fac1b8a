package identify

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/plant"
	"holdbench/plant/identify/leastsquares"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
)

// Correlated is whether the residuals of a part follow one another as they hardly ever would with a right model. Those of
// press and stop are of few samples, which share errors of rounding: they must also be larger than noise.
func (p *Part) Correlated() bool {
	return p.Dependent() && (p.Name == ofMotion.String() || p.Factor > inARow)
}

// Dependent is whether the residuals of a part follow one another, whatever their size.
func (p *Part) Dependent() bool { return p.Whiteness < unlikely }

// NoiseRule says by which rule residuals are not like noise.
func NoiseRule() string {
	return problem.Text("p is the probability that noise alone is as dependent as these residuals (Ljung-Box). Residuals are not like noise where p is below %g, or where they exceed %g times the noise. Those of press and stop, of few samples that share errors of rounding, must also exceed %g times the noise for p to count: below that they are within the noise.", unlikely, float64(largeFactor), inARow)
}

// Large is whether the residuals of a part are larger than noise by a factor that no right model has.
func (p *Part) Large() bool { return p.Factor > largeFactor }

// warn adds the warnings.
func (r *Result) warn(f *fitted, g *gathered) {
	const advice = "the model lacks something, or a piece is of another kind; the intervals are too narrow. Look at the pieces and at the plot of the residuals"
	for i := range r.Parts {
		p := &r.Parts[i]
		switch {
		case p.Correlated():
			r.add("the residuals of %s follow one another, and are %.3g times the noise of the samples: %s", p.Name, p.Factor, advice)
		case p.Large():
			r.add("the residuals of %s are %.3g times the noise of the samples: %s", p.Name, p.Factor, advice)
		}
	}
	r.warnOfFit(&f.result)
	r.warnOfValues(f, g)
	if b := &g.rig.Brake2; b.Exists() && len(f.m.presses)+len(f.m.stops) > 0 {
		r.add("the axis has two brakes: the values of the brake are those of all that are closed in the recording; record a press and a stop with one brake alone")
	}
	for i := range g.tracks {
		if k := &g.tracks[i]; k.derived {
			r.add("%s has no current: it is taken from torque_nm and the torque constant of the rig", k.name)
		} else if k.brakeSignal().empty() {
			r.add("%s has neither the command nor the switch of the brake: whether it is closed follows from torque without movement", k.name)
		}
	}
}

// warnOfFit warns of values that are not those of the least squares, as where the search ends at a kink of the model.
func (r *Result) warnOfFit(fit *leastsquares.Result) {
	const far = 0.3 // of the radius of the confidence region, a choice: with 0.1 it would be 30 of 1,618 good fits
	if fit.Offset > far {
		r.add("the fit has not reached a minimum: its values are about %.2g times the radius of their confidence region away from it, and the intervals do not hold. Leave out the piece with the largest residuals, see the plot, or record more pieces", fit.Offset)
	}
}

func (r *Result) add(format string, args ...any) {
	r.Warnings = append(r.Warnings, problem.Text(format, args...))
}

// warnOfValues warns of values that contradict the rig or what is possible.
func (r *Result) warnOfValues(f *fitted, g *gathered) {
	if v := f.late("", true); v.Standing == Fitted && (v.Low > leastLate || v.High < -leastLate) {
		first, second := "current", "position"
		if v.Value < 0 {
			first, second = second, first
		}
		r.add("the %s seems to be recorded %.3g ms later than the %s, which is accounted for in the motion and not in a stop; %s", first, 1000*math.Abs(v.Value), second, lateAdvice(v.Value))
	}
	if i := slices.IndexFunc(r.Values, func(v Value) bool { return v.Contradicted() }); i >= 0 {
		v := &r.Values[i]
		condition := ""
		if x := g.rig.Brake.Condition; x != 1 {
			condition = problem.Text(", with a brake.condition of %.3g", x)
		}
		r.add("the rig contradicts the recording: %s of the rig is %.4g %s%s, and the brake held %.4g %s without a slip", v.Path, v.Was, v.Unit, condition, v.Value*g.rig.Brake.Condition, v.Unit)
	}
	if i := slices.IndexFunc(r.Values, func(v Value) bool { return v.Path == "guide.sliding_nm" && v.High < 0 }); i >= 0 {
		const text = "guide.sliding_nm comes out as %.3g N·m, below 0: "
		if g.rig.Transmission.Efficiency < 1 {
			r.add(text+"the losses of the transmission in the rig exceed all friction that was found; transmission.efficiency of %.3g is too low", f.x[sliding], g.rig.Transmission.Efficiency)
			return
		}
		r.add(text+"check sign and scale of current and position", f.x[sliding])
	}
}

// lateAdvice is what to do about a lateness in s.
func lateAdvice(s float64) string {
	if math.Abs(s) > longLate {
		return "that is more than a recorder usually delays a signal: check first that the rig is that of the axis, and only then correct it with --late"
	}
	return "correct it with --late"
}

// InRig is whether a rig has the value, or those from which it follows.
func (v *Value) InRig() bool { return v.Path != "" || v.Was != 0 }

// Contradicted is whether the brake of the rig has less than the recordings prove.
func (v *Value) Contradicted() bool {
	return v.Standing == AtLeast && v.Path == "brake.static_nm" && v.Was < v.Value
}

// reversed refuses a current whose sign is not that of the position: then friction drives the axis and mass resists
// with a torque in the direction of its acceleration. Of both signals the current is the wrong one if the mass comes
// out below 0 as well.
func (g *gathered) reversed() error {
	c := &g.closed[0]
	if c.Pairs == 0 || c.SlidingNM >= 0 || !c.backwards {
		return nil
	}
	wrong, right, like := "current", "position", "current_rms=-COLUMN"
	if c.MassKG > 0 {
		wrong, right, like = right, wrong, "position=-COLUMN"
	}
	return fmt.Errorf("the %s of %s has the opposite sign of the %s: friction and inertia come out below 0; must be positive upwards, as with --columns %s", wrong, g.tracks[0].name, right, like)
}

// foundPieces says what was found, for an error.
func foundPieces(all []Pieces) string {
	var parts []string
	for _, p := range all {
		count := map[Kind]int{}
		for i := range p.Pieces {
			count[p.Pieces[i].Kind]++
		}
		var kinds []string
		for _, k := range Kinds() {
			if count[k] > 0 {
				kinds = append(kinds, fmt.Sprintf("%s %d", k, count[k]))
			}
		}
		parts = append(parts, fmt.Sprintf("Found in %s: %s", p.Recording, strings.Join(kinds, ", ")))
	}
	return strings.Join(parts, "; ") + ". Check the columns and their units; --found writes the pieces"
}

// hardlyMoves says that no recording moves over a part of the travel worth the name, with the unit that a position likely
// has; empty otherwise.
func hardlyMoves(recordings []*recording.Recording, r *plant.Rig) string {
	const part = 0.02 // of the travel
	travel := r.Stops.HighMM - r.Stops.LowMM
	moved, unit := 0.0, ""
	for _, rec := range recordings {
		if c := rec.Channel("position_mm"); c != nil {
			moved = max(moved, c.Reach())
			if unit == "" {
				unit = c.UnitOver(part*travel, travel)
			}
		}
	}
	if moved == 0 || moved > part*travel {
		return ""
	}
	text := problem.Text(". The position moves over %.3g mm in all, and the travel of the axis is %.4g mm", moved, travel)
	if unit != "" {
		text += fmt.Sprintf(": it is likely in %s, as with --units position_mm=%s", unit, unit)
	}
	return text
}

// rounded are pieces with times in whole microseconds, for documents.
func rounded(pieces []Piece) []Piece {
	out := slices.Clone(pieces)
	for i := range out {
		out[i].FromS, out[i].ToS = math.Round(out[i].FromS*1e6)/1e6, math.Round(out[i].ToS*1e6)/1e6
	}
	return out
}

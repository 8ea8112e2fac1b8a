package evaluate

import (
	"fmt"
	"math"
	"time"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// relaxed are the reasons why a proof with other values than those of the rig itself is not to be relied on: a judge that
// is weaker than the rig's, a requirement that is, or a recording that is no proof with the rig's own values.
func (e *Evaluation) relaxed(own, used *plant.Rig, r *recording.Recording, o Options) ([]string, error) {
	if own == nil || e.Verdict != Proven {
		return nil, nil
	}
	o.Own = nil
	plain, err := Evaluate(own, r, o)
	if err != nil {
		return nil, fmt.Errorf("with the rig's own values: %w", err)
	}
	list := weakerJudge(&own.Judge, &used.Judge)
	if plain.Verdict != Proven {
		list = append(list, fmt.Sprintf("With the rig's own values the verdict is %s.", verdictWords(plain.Verdict, plain.Cause)))
	}
	for _, d := range e.Directions {
		mine, theirs := e.requiredIn(d), plain.requiredIn(d)
		if math.Abs(mine) < math.Abs(theirs)*(1-belowSized) {
			list = append(list, fmt.Sprintf("The check %s required %.4g N·m, weaker than the %.4g N·m with the rig's own values.", d.Direction, mine, theirs))
		}
	}
	return list, nil
}

func verdictWords(verdict, cause string) string {
	if cause == "" {
		return verdict
	}
	return verdict + ": " + cause
}

// requiredIn is the motor torque in N·m that the check of a brake in a direction required; 0 without one.
func (e *Evaluation) requiredIn(of Direction) float64 {
	for _, d := range e.Directions {
		if d.Brake == of.Brake && d.Direction == of.Direction && d.Check != nil {
			if torque := e.Checks[*d.Check].Torque; torque != nil {
				return torque.RequiredNM
			}
		}
	}
	return 0
}

// weakerJudge names the settings by which a judge accepts more than that of the rig.
func weakerJudge(own, used *plant.Judge) []string {
	var list []string
	weaker := func(is bool, key string, used, own any) {
		if is {
			list = append(list, fmt.Sprintf("%s is %v, weaker than the %v of the rig.", key, used, own))
		}
	}
	deg := func(x float64) string { return fmt.Sprintf("%.4g deg", x) }
	seconds := func(d time.Duration) string { return fmt.Sprintf("%.4g s", d.Seconds()) }
	weaker(used.Directions != own.Directions && used.Directions != plant.DirectionsBoth, "judge.directions", used.Directions, own.Directions)
	weaker(used.Dwell < own.Dwell, "judge.dwell", seconds(used.Dwell), seconds(own.Dwell))
	weaker(used.Deadline > own.Deadline, "judge.deadline", seconds(used.Deadline), seconds(own.Deadline))
	weaker(used.WindowDeg > own.WindowDeg, "judge.window_deg", deg(used.WindowDeg), deg(own.WindowDeg))
	weaker(used.CeilingNM > own.CeilingNM, "judge.ceiling_nm", fmt.Sprintf("%.4g N·m", used.CeilingNM), fmt.Sprintf("%.4g N·m", own.CeilingNM))
	return list
}

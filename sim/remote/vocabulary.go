package remote

import (
	"slices"

	"holdbench/sequence"
)

// vocabulary is what lines are made of and read with, for one kind of controller. It is shared by
// all runs and not written to.
type vocabulary struct {
	about   *sequence.Description
	inputs  []sequence.Signal // that scans carry
	keys    [][]byte          // of the inputs, as JSON has them ahead of the value
	outputs []sequence.Signal
	output  map[string]int // place in outputs
	state   map[string]int
	kept    map[string]int
	allowed []bool // by place in outputs
}

func newVocabulary(d *sequence.Description, g *Greeting) *vocabulary {
	v := &vocabulary{about: d, outputs: sequence.OutputSignals(), output: map[string]int{}, state: map[string]int{}, kept: map[string]int{}}
	for _, s := range sequence.InputSignals() {
		if len(g.Inputs) > 0 && !slices.Contains(g.Inputs, s.Name) {
			continue
		}
		v.keys = append(v.keys, []byte(`"`+s.Name+`":`)) // names of signals need no escapes
		v.inputs = append(v.inputs, s)
	}
	for i := range v.outputs {
		v.output[v.outputs[i].Name] = i
		v.allowed = append(v.allowed, mayBeSet(v.outputs[i].Name, d))
	}
	for i := range d.States {
		v.state[d.States[i].Name] = i
	}
	for i := range d.Kept {
		v.kept[d.Kept[i].Name] = i
	}
	return v
}

// mayBeSet is whether an answer may set an output. What fits every rig is never in the way; for the
// others the bench must know ahead of the run that they are used.
func mayBeSet(output string, d *sequence.Description) bool {
	switch output {
	case "target_mm", "target_deg", "brake_2":
		return d.Sets(output)
	}
	return true
}

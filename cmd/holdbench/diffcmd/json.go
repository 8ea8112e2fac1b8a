package diffcmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim"
	"holdbench/sim/compare"
)

// differenceObject is a comparison as one object.
type differenceObject struct {
	A       side                 `json:"a"`
	B       side                 `json:"b"`
	Align   string               `json:"align"`
	AlignAS float64              `json:"align_a_s"`
	AlignBS float64              `json:"align_b_s"`
	Same    bool                 `json:"same"`
	First   *compare.Divergence  `json:"first"`
	Visible []compare.Divergence `json:"visible"`
	Truth   []compare.Divergence `json:"truth"`
	Path    compare.Path         `json:"path"`
	Outcome []compare.Outcome    `json:"outcome"`
	Moment  *moment              `json:"moment"`
	Version string               `json:"version"`
}

// side is what one of the runs is made of.
type side struct {
	Scenario string         `json:"scenario"`
	Rig      string         `json:"rig"`
	Sequence string         `json:"sequence"`
	Seed     uint64         `json:"seed"`
	Nominal  bool           `json:"nominal"`
	EveryS   float64        `json:"every_s"`
	Sources  []sim.Document `json:"sources"`
	command.Given
}

// moment is all values at one moment.
type moment struct {
	AtAS   float64        `json:"at_a_s"`
	AtBS   float64        `json:"at_b_s"`
	Values []compare.Pair `json:"values"`
}

func sideOf(r *compare.Run) side {
	x := r.Result
	return side{Scenario: x.Scenario, Rig: x.Rig, Sequence: x.Sequence, Seed: x.Seed, EveryS: r.EveryS, Sources: append([]sim.Document{}, r.Case.Sources...)}
}

func (d *difference) object() differenceObject {
	o := differenceObject{
		A: sideOf(d.A), B: sideOf(d.B), Align: d.By.String(), AlignAS: d.AlignA, AlignBS: d.AlignB,
		Same: d.Same(), First: d.First(), Visible: append([]compare.Divergence{}, d.Visible...), Truth: append([]compare.Divergence{}, d.Truth...),
		Path: d.Path, Outcome: d.Outcome, Version: command.Version(),
	}
	o.B.Given, o.B.Nominal = d.given, d.nominal
	if d.at != nil {
		o.Moment = &moment{*d.at, *d.at + d.ShiftS(), append([]compare.Pair{}, d.Values(*d.at)...)}
	}
	return o
}

// JSON is what diff --json prints, for its schema.
func JSON() any { return differenceObject{} }

package reportcmd

import (
	"context"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/report"
	"holdbench/plant"
	"holdbench/plant/sizing"
	"holdbench/sequence"
	"holdbench/sim"
)

// prepare sizes the rigs and draws the sequences.
func (j *job) prepare(ctx context.Context) error {
	for _, rig := range j.rigs {
		j.size(rig)
	}
	for _, s := range j.sequences { // one after the other: the library that draws has one error for all
		if ctx.Err() != nil {
			return j.interrupted()
		}
		j.sizeFor(s)
		if err := s.Draw(ctx, command.Version()); err != nil {
			return err
		}
	}
	return nil
}

// mostUsed is of some things the one that most test cases have, the first of several.
func mostUsed[T comparable](runs []*report.Run, things []T, has func(*report.Run, T) bool) T {
	var best T
	most := 0
	for _, x := range things {
		n := 0
		for _, r := range runs {
			if r.Err == nil && has(r, x) {
				n++
			}
		}
		if n > most {
			best, most = x, n
		}
	}
	return best
}

// size sizes a rig with the parameters of the sequence that most of its test cases use.
func (j *job) size(rig *report.Rig) {
	with := mostUsed(j.runs, j.sequences, func(r *report.Run, s *report.Sequence) bool { return r.Rig == rig && r.Sequence == s })
	if with == nil {
		rig.NotSized = "no test case of it could be run"
		return
	}
	rig.With = with.Logic.About().Name
	s, err := sized(rig.Rig, with.Logic)
	if err != nil {
		rig.NotSized = err.Error()
		return
	}
	rig.Sized = s
}

// sizeFor finds the sized values of the parameters of a sequence, for the rig that most of its test cases use.
func (j *job) sizeFor(s *report.Sequence) {
	rig := mostUsed(j.runs, j.rigs, func(r *report.Run, x *report.Rig) bool { return r.Sequence == s && r.Rig == x })
	if rig == nil {
		return
	}
	found, err := sized(rig.Rig, s.Logic)
	if err != nil {
		return // the sizing of the rig says why
	}
	s.Sized, s.SizedFor = map[string]string{}, rig.Rig.Rig
	for _, set := range found.Settings {
		if name, ok := strings.CutPrefix(set.Key, "sequence."); ok && set.Origin == "" {
			s.Sized[name] = set.Value
		}
	}
}

// sized sizes a rig with a sequence as they are, without the values of a scenario.
func sized(rig plant.Rig, logic sequence.Logic) (*sizing.Sizing, error) {
	s := sim.Scenario{Scenario: "report", Title: "report", Rig: sim.Reference{Name: rig.Rig}, Sequence: sim.Reference{Name: logic.About().Name}, Set: map[string]string{}}
	ready, _, err := sim.NewCaseOf(s, rig, logic)
	if err != nil {
		return nil, err
	}
	params := command.SizingParams(ready.Sequence)
	result, err := sizing.Compute(&ready.Rig, params, sizing.DefaultAssumptions(&ready.Rig, params))
	if err != nil {
		return nil, err
	}
	return &result, nil
}

package reportcmd

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/report"
	"holdbench/scenarios"
	"holdbench/sim/probe"
)

// studies read what other commands have printed.
func (j *job) studies() error {
	for _, file := range j.flags.probes {
		p, err := j.probe(file)
		if err != nil {
			return err
		}
		j.given.Probes = append(j.given.Probes, p)
	}
	for _, file := range j.flags.mutations {
		m := &report.Mutation{}
		if err := readStudy(file, &m.File, &m.SHA256, func(text []byte) error { return errors.Join(readLines(text, &m.Mutants), m.Check()) }); err != nil {
			return err
		}
		j.given.Mutations = append(j.given.Mutations, m)
	}
	for _, file := range j.flags.sweeps {
		s := &report.Sweep{}
		if err := readStudy(file, &s.File, &s.SHA256, func(text []byte) error {
			return errors.Join(readOne(text, &s.Summary), readOne(text, &s.Study), s.Check())
		}); err != nil {
			return err
		}
		j.given.Sweeps = append(j.given.Sweeps, s)
	}
	for _, file := range j.flags.lives {
		l := &report.Life{}
		if err := readStudy(file, &l.File, &l.SHA256, func(text []byte) error {
			return errors.Join(readOne(text, &l.Values), readOne(text, &l.Study), l.Check())
		}); err != nil {
			return err
		}
		j.given.Lives = append(j.given.Lives, l)
	}
	return nil
}

// readStudy reads a file, with what identifies it.
func readStudy(file string, name, sha *string, read func(text []byte) error) error {
	text, err := files.ReadFile(file)
	if err != nil {
		return err
	}
	*name, *sha = filepath.Base(file), hashOf(text)
	if err := read(text); err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	return nil
}

// readOne reads one JSON object.
func readOne(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(into); err != nil {
		return fmt.Errorf("no JSON object: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("there is more behind the JSON object; must be one")
	}
	return nil
}

// readLines reads JSON objects, one a line.
func readLines[T any](text []byte, into *[]T) error {
	for n, line := range bytes.Split(bytes.TrimRight(text, "\n"), []byte("\n")) {
		var one T
		if err := json.Unmarshal(line, &one); err != nil {
			return fmt.Errorf("line %d: no JSON object: %w", n+1, err)
		}
		*into = append(*into, one)
	}
	return nil
}

func (j *job) probe(file string) (*report.Probe, error) {
	p := &report.Probe{Accepted: j.names.shown(j.names.add(j.flags.accept, scenarios.AcceptedNames()))}
	err := readStudy(file, &p.File, &p.SHA256, func(text []byte) error {
		had, err := probe.Read(bytes.NewReader(text))
		p.Head = had.Head
		p.Results = probe.Results{Scenario: had.Head.Probe, Rig: had.Head.Rig, Sequence: had.Head.Sequence, Outcomes: had.Outcomes, Complete: had.Complete}
		return err
	})
	if err != nil {
		return nil, err
	}
	for i := range p.Results.Outcomes {
		o := &p.Results.Outcomes[i]
		if o.State != "" && !slices.Contains(p.Results.States, o.State) {
			p.Results.States = append(p.Results.States, o.State)
		}
		if !slices.Contains(p.Results.Faults, o.Fault) {
			p.Results.Faults = append(p.Results.Faults, o.Fault)
		}
	}
	if logic, _, err := scenarios.LoadLogic(p.Head.Sequence, j.app.Reach); err == nil { // else it is no built-in one, and the states stay in the order of the cells
		p.Results.States = inOrder(p.Results.States, logic.About().StateNames())
	}
	return p, j.accept(p)
}

// inOrder brings states into the order of their sequence, if it has all of them.
func inOrder(states, order []string) []string {
	for _, s := range states {
		if !slices.Contains(order, s) {
			return states
		}
	}
	return slices.DeleteFunc(slices.Clone(order), func(s string) bool { return !slices.Contains(states, s) })
}

// accept marks what is accepted by name.
func (j *job) accept(p *report.Probe) error {
	if j.flags.accept == "" {
		return nil
	}
	states := p.Results.States
	if logic, _, err := scenarios.LoadLogic(p.Head.Sequence, j.app.Reach); err == nil { // else it is no built-in one
		states = logic.About().StateNames()
	}
	accepted, err := scenarios.LoadAccepted(j.flags.accept, states)
	if err != nil {
		return err
	}
	accepted.ApplyTo(p.Results.Outcomes)
	return nil
}

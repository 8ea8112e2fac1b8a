package reportcmd

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/report"
	"holdbench/scenarios"
	"holdbench/sim"
)

func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// document finds the rig and the sequence of each run, each once.
func (j *job) document() error {
	for _, r := range j.runs {
		if r.Err != nil {
			continue
		}
		rig, err := j.rigOf(r)
		if err != nil {
			return err
		}
		s, err := j.sequenceOf(r)
		if err != nil {
			return err
		}
		r.Rig, r.Sequence = rig, s
		rig.Runs++
		s.Runs++
	}
	return nil
}

// rigOf is the rig of a run as its document has it, without the values that the scenario sets.
func (j *job) rigOf(r *report.Run) (*report.Rig, error) {
	_, name, text, err := j.find(r, scenarios.RigKind, r.Ready.Scenario.Rig)
	if err != nil {
		return nil, err
	}
	sha := hashOf(text)
	for _, have := range j.rigs {
		if have.SHA256 == sha && have.Rig.Rig == r.Ready.Rig.Rig {
			return have, nil
		}
	}
	rig, _, err := scenarios.ParseRig(name, text)
	if err != nil {
		return nil, err
	}
	made := &report.Rig{Number: len(j.rigs) + 1, Reference: j.short(name, r), SHA256: sha, Rig: *rig}
	j.rigs = append(j.rigs, made)
	return made, nil
}

// find is the document that a scenario names or holds; it is loaded again by its reference, which is
// empty for one that is held.
func (j *job) find(r *report.Run, kind scenarios.Kind, ref sim.Reference) (reference, name string, text []byte, err error) {
	if ref.Text != "" {
		return "", j.places[r].reference, []byte(ref.Text), nil
	}
	reference = ref.Name
	if kind == scenarios.SequenceKind && strings.EqualFold(filepath.Ext(reference), ".st") {
		reference = scenarios.BindingBeside(reference)
	}
	overridden := kind == scenarios.SequenceKind && j.overrides.Sequence != ""
	if !overridden && !slices.Contains(scenarios.Names(kind), reference) && !filepath.IsAbs(reference) {
		reference = filepath.Join(j.places[r].folder, reference)
	}
	name, text, err = scenarios.Text(kind, reference)
	return reference, name, text, err
}

// short is how the record refers to a document: its built-in name, or its file without folders of this machine.
func (j *job) short(name string, r *report.Run) string {
	if builtin, ok := strings.CutPrefix(name, "builtin:"); ok {
		return "built in, " + builtin
	}
	if name == j.places[r].reference {
		return filepath.Base(name) + ", written in place"
	}
	return filepath.Base(name)
}

func (j *job) sequenceOf(r *report.Run) (*report.Sequence, error) {
	ref := r.Ready.Scenario.Sequence
	if j.overrides.Sequence != "" {
		ref = sim.Reference{Name: j.overrides.Sequence}
	}
	reference, name, text, err := j.find(r, scenarios.SequenceKind, ref)
	if err != nil {
		return nil, err
	}
	sha := hashOf(text)
	for _, have := range j.sequences {
		if have.SHA256 == sha && have.Logic.About().Name == r.Ready.Sequence.Name {
			return have, nil
		}
	}
	made := &report.Sequence{Number: len(j.sequences) + 1, Reference: j.short(name, r), SHA256: sha, Logic: r.Ready.Logic, ValuesOf: "test case T" + strconv.Itoa(r.Number)}
	if reference == "" {
		made.In = r.Ready.Scenario.Scenario
	} else {
		made.ValuesOf = ""
		if made.Logic, _, err = scenarios.LoadLogic(reference, j.app.Reach); err != nil {
			return nil, err
		}
	}
	if program, ok := made.Logic.(interface{ File() string }); ok {
		source, err := programText(program.File())
		if err != nil {
			return nil, err
		}
		made.File, made.Text, made.TextSHA, made.Binding = filepath.Base(program.File()), string(source), hashOf(source), string(text)
	}
	j.sequences = append(j.sequences, made)
	return made, nil
}

func programText(file string) ([]byte, error) {
	if strings.HasPrefix(file, "builtin:") {
		if text, ok := scenarios.BuiltinProgram(filepath.Base(file)); ok {
			return text, nil
		}
	}
	return files.ReadFile(file)
}

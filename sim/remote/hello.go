package remote

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"holdbench/sequence"
)

// Hello is the first line of a connection.
type Hello struct {
	Type          string      `json:"type"`
	N             int64       `json:"n"`
	Version       int         `json:"version"`
	Rig           string      `json:"rig"`
	ScanS         float64     `json:"scan_s"`
	AnswerWithinS float64     `json:"answer_within_s"` // 0: no limit
	Inputs        []HelloItem `json:"inputs"`
	Outputs       []HelloItem `json:"outputs"`
	Sequence      string      `json:"sequence"`
	States        []State     `json:"states"`
	Params        []HelloItem `json:"params"`
	Kept          []HelloItem `json:"kept"`
}

// HelloItem is a signal, a parameter or a kept value as the first line tells of it.
type HelloItem struct {
	Name  string   `json:"name"`
	Kind  string   `json:"kind"`
	Unit  string   `json:"unit,omitempty"`
	Words []string `json:"words,omitempty"` // a word without any is free text
	Note  string   `json:"note,omitempty"`
}

// State is a state by its name, and how a run ends in it.
type State struct {
	Name string `json:"name"`
	End  string `json:"end,omitempty"`
}

// Greeting is the answer to the first line. All of it may be left out: the controller then has the
// states of the sequence in whose place it runs.
type Greeting struct {
	Version *int     `json:"version,omitempty"` // of the protocol; that of the bench without it
	Name    string   `json:"name,omitempty"`
	States  []State  `json:"states,omitempty"`
	Start   string   `json:"start,omitempty"`    // the first of the states without it
	PowerUp string   `json:"power_up,omitempty"` // the state after a loss of power; start without it
	Causes  []string `json:"causes,omitempty"`   // that its runs can end with, beside those of the sequence
	Inputs  []string `json:"inputs,omitempty"`   // that it reads: scans then have no others
	Outputs []string `json:"outputs,omitempty"`  // that it sets
	N       *int64   `json:"n,omitempty"`
}

// newHello is the first line about a sequence on a rig.
func newHello(d *sequence.Description, rig string, scan time.Duration, answerWithin time.Duration) *Hello {
	h := &Hello{
		Type: typeHello, Version: Version, Rig: rig, ScanS: seconds(scan), AnswerWithinS: seconds(answerWithin),
		Inputs: items(sequence.InputSignals()), Outputs: items(sequence.OutputSignals()), Sequence: d.Name,
		Params: []HelloItem{}, Kept: items(d.Kept),
	}
	for i := range d.States {
		h.States = append(h.States, State{d.States[i].Name, endWord(d.States[i].End)})
	}
	for i := range d.Params {
		h.Params = append(h.Params, HelloItem{Name: d.Params[i].Name, Kind: d.Params[i].Kind.String(), Unit: d.Params[i].Unit.String()})
	}
	return h
}

func items(signals []sequence.Signal) []HelloItem {
	list := make([]HelloItem, len(signals))
	for i := range signals {
		s := &signals[i]
		list[i] = HelloItem{s.Name, s.Kind.String(), s.Unit.String(), s.Words, s.Note}
	}
	return list
}

func endWord(e sequence.EndKind) string {
	if e == sequence.EndNone {
		return ""
	}
	return e.String()
}

// endKind is the end of a word; false for a word that is none.
func endKind(word string) (sequence.EndKind, bool) {
	for _, e := range []sequence.EndKind{sequence.EndPass, sequence.EndFail, sequence.EndStop} {
		if word == e.String() {
			return e, true
		}
	}
	return sequence.EndNone, word == ""
}

// seconds writes 0.002 for 2 ms, as Duration.Seconds does not for every value.
func seconds(d time.Duration) float64 { return float64(d) / float64(time.Second) }

// readGreeting reads and checks the answer to the first line.
func readGreeting(line []byte) (*Greeting, error) {
	if err := checkVersion(line); err != nil {
		return nil, err
	}
	g := &Greeting{}
	decoder := json.NewDecoder(bytes.NewReader(line))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(g); err != nil {
		return nil, fmt.Errorf("its answer to hello is %s: %w", excerpt(line), plainJSON(err))
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("its answer to hello is %s; must be one object", excerpt(line))
	}
	if err := g.check(); err != nil {
		return nil, fmt.Errorf("its answer to hello: %w", err)
	}
	return g, nil
}

// versionError is that of a controller that speaks another version of the protocol.
type versionError int

func (v versionError) Error() string {
	return fmt.Sprintf("it speaks version %d of the protocol, and the bench speaks version %d", int(v), Version)
}

// checkVersion refuses another version ahead of all keys that this one does not have.
func checkVersion(line []byte) error {
	var told struct{ Version *int }
	if err := json.Unmarshal(line, &told); err != nil {
		return nil //nolint:nilerr // what is wrong is told with the whole line
	}
	if v := told.Version; v != nil && *v != Version {
		return versionError(*v)
	}
	return nil
}

// plainJSON is an error of the JSON decoder without the names of Go.
func plainJSON(err error) error {
	var of *json.UnmarshalTypeError
	if errors.As(err, &of) {
		return fmt.Errorf("%s is of the kind %s; must be what the protocol says", cmpOr(of.Field, "the line"), of.Value)
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("it is no complete object of JSON")
	}
	return err
}

func cmpOr(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// maxStates bounds the states of a client.
const maxStates = 1000

// check reports the first of what is wrong.
func (g *Greeting) check() error {
	if len(g.States) > maxStates {
		return fmt.Errorf("it has %d states; must be at most %d", len(g.States), maxStates)
	}
	names := make([]string, 0, len(g.States))
	for i, s := range g.States {
		switch _, ok := endKind(s.End); {
		case s.Name == "" || !printable(s.Name):
			return fmt.Errorf("states[%d] has the name %q; must be 1 to %d printable characters", i, s.Name, MaxText)
		case slices.Contains(names, s.Name):
			return fmt.Errorf("state %q is there twice; must be once", s.Name)
		case !ok:
			return fmt.Errorf("state %q ends as %q; must be pass, fail or stop, or without end", s.Name, s.End)
		}
		names = append(names, s.Name)
	}
	if !printable(g.Name) {
		return fmt.Errorf("name is %q; must be at most %d printable characters", g.Name, MaxText)
	}
	for _, at := range []struct{ key, state string }{{"start", g.Start}, {"power_up", g.PowerUp}} {
		switch {
		case at.state != "" && len(names) == 0:
			return fmt.Errorf("%s is %q, and there are no states; must come with states", at.key, at.state)
		case at.state != "" && !slices.Contains(names, at.state):
			return fmt.Errorf("%s is %q, which is no state; %s", at.key, at.state, sequence.Suggest(at.state, names))
		}
	}
	return g.checkSignals()
}

// checkSignals refuses names that are no signals.
func (g *Greeting) checkSignals() error {
	for _, c := range []struct {
		key   string
		names []string
		valid []sequence.Signal
	}{{"inputs", g.Inputs, sequence.InputSignals()}, {"outputs", g.Outputs, sequence.OutputSignals()}} {
		valid := signalNames(c.valid)
		for i, name := range c.names {
			if !slices.Contains(valid, name) {
				return fmt.Errorf("%s[%d] is %q, which is no signal; %s", c.key, i, name, sequence.Suggest(name, valid))
			}
		}
	}
	for i, cause := range g.Causes {
		if cause == "" || !printable(cause) || i >= maxStates {
			return fmt.Errorf("causes[%d] is %q; must be 1 to %d printable characters, and at most %d causes", i, cause, MaxText, maxStates)
		}
	}
	return nil
}

func signalNames(signals []sequence.Signal) []string {
	names := make([]string, len(signals))
	for i := range signals {
		names[i] = signals[i].Name
	}
	return names
}

// describe is what is known of the controller: what the sequence in whose place it runs tells of
// itself, and in place of that what the greeting tells.
func (g *Greeting) describe(base *sequence.Description, of string) *sequence.Description {
	d := base.InPlace(g.Name)
	d.Source = struct {
		Controller string
		Greeting   *Greeting
		Sequence   any
	}{of, g, base.Source}
	d.Causes = slices.Compact(slices.Sorted(slices.Values(slices.Concat(base.Causes, g.Causes))))
	if len(g.Inputs) > 0 {
		d.Inputs = among(sequence.InputSignals(), g.Inputs)
	}
	if len(g.Outputs) > 0 {
		d.Outputs = among(sequence.OutputSignals(), g.Outputs)
	}
	if len(g.States) == 0 {
		return d
	}
	d.States, d.Kept, d.Start = nil, nil, 0
	for _, s := range g.States {
		end, _ := endKind(s.End)
		d.States = append(d.States, sequence.StateInfo{Name: s.Name, End: end})
	}
	if i, ok := d.StateIndex(g.Start); ok {
		d.Start = i
	}
	d.PowerUp = d.Start
	if i, ok := d.StateIndex(g.PowerUp); ok {
		d.PowerUp = i
	}
	return d
}

// among are the names of a table that are in a list, in the order of the table.
func among(table []sequence.Signal, list []string) []string {
	var names []string
	for i := range table {
		if slices.Contains(list, table[i].Name) {
			names = append(names, table[i].Name)
		}
	}
	return names
}

// sameAs is whether another client tells the same of itself.
func (g *Greeting) sameAs(other *Greeting) bool {
	a, b := *g, *other
	a.N, b.N = nil, nil
	one, errA := json.Marshal(a)
	two, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(one, two)
}

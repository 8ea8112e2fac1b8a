// Package talker is a client of the protocol of sim/remote for tests: a sequence document that
// answers over a connection as a controller outside would.
package talker

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"time"

	"holdbench/sequence"
)

// line is what comes in.
type line struct {
	Type   string          `json:"type"`
	N      int64           `json:"n"`
	Of     string          `json:"sequence"`
	ScanS  float64         `json:"scan_s"`
	TS     float64         `json:"t_s"`
	Params json.RawMessage `json:"params"` // of reset an object
	Inputs json.RawMessage `json:"inputs"` // of a scan an object
}

// client is a document at work.
type client struct {
	find    func(name string) (*sequence.Program, error)
	program *sequence.Program
	machine *sequence.Machine
	scan    time.Duration
	inputs  []sequence.Signal
	outputs []sequence.Signal
}

// Serve answers until the other side ends, as the sequence in whose place it runs; find finds that.
func Serve(find func(name string) (*sequence.Program, error), rw io.ReadWriter) error {
	c := &client{find: find, inputs: sequence.InputSignals(), outputs: sequence.OutputSignals()}
	in := bufio.NewReaderSize(rw, 1<<16)
	for {
		text, err := in.ReadBytes('\n')
		if err != nil {
			return nil //nolint:nilerr // the other side has ended
		}
		var l line
		if err := json.Unmarshal(text, &l); err != nil {
			return fmt.Errorf("talker: %w", err)
		}
		answer, err := c.answer(&l)
		if err != nil {
			return err
		}
		if _, err := rw.Write(append(answer, '\n')); err != nil {
			return nil //nolint:nilerr // the other side has ended
		}
	}
}

func (c *client) answer(l *line) ([]byte, error) {
	switch l.Type {
	case "hello":
		return json.Marshal(map[string]any{"n": l.N})
	case "reset":
		if err := c.reset(l); err != nil {
			return nil, err
		}
		return json.Marshal(map[string]any{"n": l.N})
	case "power_up":
		c.machine.PowerUp()
		return json.Marshal(map[string]any{"n": l.N, "state": c.machine.State()})
	}
	return c.step(l)
}

// reset compiles the document with the parameters that came.
func (c *client) reset(l *line) error {
	values, params := sequence.Values{}, map[string]json.RawMessage{}
	if err := json.Unmarshal(l.Params, &params); err != nil {
		return fmt.Errorf("talker: %w", err)
	}
	for name, text := range params {
		values[name] = string(text)
	}
	of, err := c.find(l.Of)
	if err != nil {
		return err
	}
	made, err := sequence.Compile(of.Document(), values)
	if err != nil {
		return fmt.Errorf("talker: %w", err)
	}
	c.program, c.scan = made, time.Duration(math.Round(l.ScanS*1e9))
	c.machine = sequence.NewMachine(made, c.scan)
	return nil
}

// step runs one scan.
func (c *client) step(l *line) ([]byte, error) {
	var in sequence.Inputs
	values := map[string]json.RawMessage{}
	if err := json.Unmarshal(l.Inputs, &values); err != nil {
		return nil, fmt.Errorf("talker: %w", err)
	}
	in.Clock = time.Duration(math.Round(l.TS * 1e9))
	for i := range c.inputs {
		if err := read(&c.inputs[i], values, &in); err != nil {
			return nil, err
		}
	}
	var out sequence.Outputs
	fired, err := c.machine.Scan(&in, &out)
	if err != nil {
		return nil, fmt.Errorf("talker: %w", err)
	}
	outputs, kept := map[string]any{}, map[string]any{}
	for i := range c.outputs {
		if s := &c.outputs[i]; c.program.About().Sets(s.Name) {
			outputs[s.Name] = typed(s.Kind, string(s.AppendOutput(nil, &out)))
		}
	}
	for i := range c.program.About().Kept {
		s := &c.program.About().Kept[i]
		kept[s.Name] = typed(s.Kind, string(s.AppendInput(nil, &in)))
	}
	answer := map[string]any{"n": l.N, "outputs": outputs, "state": c.machine.State(), "kept": kept}
	if fired.OK {
		answer["transition"], answer["cause"] = fired.Event, fired.Cause
	}
	return json.Marshal(answer)
}

// read puts an input into the image, by the text that a trace would have.
func read(s *sequence.Signal, from map[string]json.RawMessage, in *sequence.Inputs) error {
	text, ok := from[s.Name]
	if !ok {
		return fmt.Errorf("talker: there is no input %s", s.Name)
	}
	v, err := strconv.ParseFloat(string(text), 64)
	switch s.Kind {
	case sequence.KindBoolean:
		v, err = map[string]float64{"true": 1}[string(text)], nil
	case sequence.KindWord:
		word, unquoteErr := strconv.Unquote(string(text))
		v, err = float64(slices.Index(s.Words, word)), unquoteErr
	}
	if err != nil || !s.SetInputNumber(in, v) {
		return fmt.Errorf("talker: %s is %s", s.Name, text)
	}
	return nil
}

// typed is the text of a signal as JSON has it.
func typed(kind sequence.Kind, text string) any {
	if kind == sequence.KindWord {
		return text
	}
	return json.RawMessage(text)
}

package remote

import (
	"fmt"
	"math"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// answer is what a line said, beside the outputs and kept values, which go where they belong.
type answer struct {
	state      int // -1: not told
	end        sequence.EndKind
	transition string
	cause      string
	n          float64 // -1: not told
}

// reader reads answers into the outputs and the kept values of a controller. It allocates only for
// texts that are new.
type reader struct {
	*vocabulary
	scanner scanner
}

// read reads a line. What it has already set when it finds something wrong stays set: the controller
// is lost then.
func (r *reader) read(line []byte, out *sequence.Outputs, kept []float64) (answer, error) {
	s := &r.scanner
	s.line, s.at = line, 0
	a := answer{state: -1, n: -1}
	err := s.object(func(key []byte) error { return r.value(key, &a, out, kept) })
	if err == nil {
		err = s.end()
	}
	if err == nil {
		err = r.settle(&a)
	}
	if err != nil {
		return a, fmt.Errorf("its answer is %s: %w", excerpt(line), err)
	}
	return a, nil
}

// value reads the value of a key of the answer.
func (r *reader) value(key []byte, a *answer, out *sequence.Outputs, kept []float64) error {
	s := &r.scanner
	switch string(key) {
	case keyOutputs:
		return s.object(func(name []byte) error { return r.setOutput(name, out) })
	case keyKept:
		return s.object(func(name []byte) error { return r.setKept(name, kept) })
	case keyState:
		return r.setState(a)
	case keyEnd:
		return r.setEnd(a)
	case keyTransition:
		return r.setText(&a.transition, keyTransition)
	case keyCause:
		return r.setText(&a.cause, keyCause)
	case keyN:
		n, err := s.number()
		a.n = n
		return err
	}
	return fmt.Errorf("there is no key %q in an answer; %s", clipped(key), sequence.Suggest(clipped(key), answerKeyNames()))
}

func answerKeyNames() []string {
	var names []string
	for _, k := range AnswerKeys() {
		names = append(names, k.Name)
	}
	return names
}

// clipped is a name of bounded length for a message.
func clipped(name []byte) string {
	if len(name) > MaxText {
		return string(name[:MaxText]) + "…"
	}
	return string(name)
}

// setOutput reads the value of an output.
func (r *reader) setOutput(name []byte, out *sequence.Outputs) error {
	place, ok := r.output[string(name)]
	if !ok {
		return fmt.Errorf("there is no output %q; %s", clipped(name), sequence.Suggest(clipped(name), signalNames(r.outputs)))
	}
	signal := &r.outputs[place]
	if !r.allowed[place] {
		return fmt.Errorf("it sets %s, which the sequence that it replaces does not set; must be named in outputs of the answer to hello", signal.Name)
	}
	switch signal.Kind {
	case sequence.KindBoolean:
		on, err := r.scanner.boolean()
		if err != nil {
			return fmt.Errorf("%s: %w", signal.Name, err)
		}
		signal.SetOutputNumber(out, asNumber(on))
		return nil
	case sequence.KindNumber:
		v, err := r.number(signal.Name)
		if err != nil {
			return err
		}
		signal.SetOutputNumber(out, v)
		return nil
	}
	return r.setWord(signal, out)
}

func asNumber(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

// number reads a number of bounded size.
func (r *reader) number(name string) (float64, error) {
	v, err := r.scanner.number()
	if err == nil && math.Abs(v) > MaxNumber {
		err = problem.Errorf("it is %g; must be from -%g to %g", v, MaxNumber, MaxNumber)
	}
	if err != nil {
		return 0, fmt.Errorf("%s: %w", name, err)
	}
	return v, nil
}

// setWord reads a word out of a set, or a free text.
func (r *reader) setWord(signal *sequence.Signal, out *sequence.Outputs) error {
	word, err := r.scanner.string()
	if err != nil {
		return fmt.Errorf("%s: %w", signal.Name, err)
	}
	if len(signal.Words) == 0 {
		if out.Alarm == string(word) { // the one free text
			return nil
		}
		if !printable(string(word)) {
			return fmt.Errorf("%s is %q; must be at most %d printable characters", signal.Name, clipped(word), MaxText)
		}
		return signal.SetOutput(out, string(word))
	}
	for i, w := range signal.Words {
		if w == string(word) {
			signal.SetOutputNumber(out, float64(i))
			return nil
		}
	}
	return fmt.Errorf("%s is %q; must be one of %s", signal.Name, clipped(word), strings.Join(signal.Words, ", "))
}

// setKept reads a value kept by a state.
func (r *reader) setKept(name []byte, kept []float64) error {
	place, ok := r.kept[string(name)]
	if !ok {
		return fmt.Errorf("there is no kept value %q; must be one of those in hello", clipped(name))
	}
	signal := &r.about.Kept[place]
	if signal.Kind == sequence.KindBoolean {
		on, err := r.scanner.boolean()
		kept[place] = asNumber(on)
		return err
	}
	v, err := r.number(signal.Name)
	kept[place] = v
	return err
}

// setState reads the name of a state.
func (r *reader) setState(a *answer) error {
	name, err := r.scanner.string()
	if err != nil {
		return fmt.Errorf("%s: %w", keyState, err)
	}
	place, ok := r.state[string(name)]
	if !ok {
		return fmt.Errorf("there is no state %q; %s", clipped(name), sequence.Suggest(clipped(name), r.about.StateNames()))
	}
	a.state = place
	return nil
}

// setEnd reads how the run ended.
func (r *reader) setEnd(a *answer) error {
	word, err := r.scanner.string()
	if err != nil {
		return fmt.Errorf("%s: %w", keyEnd, err)
	}
	end, ok := endKind(string(word))
	if !ok {
		return fmt.Errorf("end is %q; must be pass, fail or stop", clipped(word))
	}
	a.end = end
	return nil
}

// setText reads a short text; "" is none.
func (r *reader) setText(to *string, key string) error {
	text, err := r.scanner.string()
	if err != nil {
		return fmt.Errorf("%s: %w", key, err)
	}
	if *to = string(text); !printable(*to) {
		return fmt.Errorf("%s is %q; must be at most %d printable characters", key, clipped(text), MaxText)
	}
	return nil
}

// settle finds the state that an end without a state stands for.
func (r *reader) settle(a *answer) error {
	if a.end == sequence.EndNone {
		return nil
	}
	if a.state >= 0 {
		if is := r.about.States[a.state].End; is != a.end {
			return fmt.Errorf("end is %s, and the end in state %s is %s; must agree", a.end, r.about.States[a.state].Name, is)
		}
		return nil
	}
	for i := range r.about.States {
		if r.about.States[i].End == a.end {
			a.state = i
			return nil
		}
	}
	return fmt.Errorf("end is %s, and no state of %s ends so", a.end, r.about.Name)
}

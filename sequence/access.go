package sequence

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// AppendInput appends the signal's value in the image to dst, as a trace writes
// it: true or false, the shortest exact number, the bare word. It allocates only
// when dst must grow. An output signal appends nothing.
func (s *Signal) AppendInput(dst []byte, in *Inputs) []byte {
	switch {
	case s.in.boolean != nil:
		return strconv.AppendBool(dst, *s.in.boolean(in))
	case s.in.number != nil:
		return strconv.AppendFloat(dst, *s.in.number(in), 'g', -1, 64)
	case s.in.word != nil:
		return append(dst, *s.in.word(in)...)
	}
	return dst
}

// AppendOutput does the same for an output.
func (s *Signal) AppendOutput(dst []byte, out *Outputs) []byte {
	switch {
	case s.out.boolean != nil:
		return strconv.AppendBool(dst, *s.out.boolean(out))
	case s.out.number != nil:
		return strconv.AppendFloat(dst, *s.out.number(out), 'g', -1, 64)
	case s.out.text != nil:
		return append(dst, *s.out.text(out)...)
	case s.out.get != nil:
		return append(dst, wordAt(s.out.get(out), s.Words...)...)
	}
	return dst
}

// InputNumber returns a number, or 1 and 0 for true and false; a word is 0. It serves
// curves and columns of numbers.
func (s *Signal) InputNumber(in *Inputs) float64 {
	switch {
	case s.in.number != nil:
		return *s.in.number(in)
	case s.in.boolean != nil && *s.in.boolean(in):
		return 1
	}
	return 0
}

// InputText writes an input or a kept value for people: a number with about four figures and its
// unit, true or false, or the word.
func (s *Signal) InputText(in *Inputs) string {
	if s.in.number != nil {
		return withUnit(figures(withoutNoise(*s.in.number(in), 1, rounding), fewFigures), s.Unit)
	}
	return string(s.AppendInput(nil, in))
}

// OutputNumber does what InputNumber does, for an output; a word out of a set is its place in
// Words.
func (s *Signal) OutputNumber(out *Outputs) float64 {
	switch {
	case s.out.number != nil:
		return *s.out.number(out)
	case s.out.get != nil:
		return float64(s.out.get(out))
	case s.out.boolean != nil && *s.out.boolean(out):
		return 1
	}
	return 0
}

// SetOutput writes a value given as text (true, 12.5, a word) into the image.
func (s *Signal) SetOutput(out *Outputs, text string) error {
	switch {
	case s.out.boolean != nil:
		return s.setBoolean(s.out.boolean(out), text)
	case s.out.number != nil:
		return s.setNumber(s.out.number(out), text)
	case s.out.text != nil:
		*s.out.text(out) = text
		return nil
	case s.out.set != nil:
		return s.setEnum(out, text)
	}
	return fmt.Errorf("%s is not an output", s.Name)
}

func (s *Signal) setEnum(out *Outputs, text string) error {
	i := indexOf(s.Words, text)
	if i < 0 {
		return s.badWord(text)
	}
	s.out.set(out, i)
	return nil
}

func (s *Signal) setBoolean(at *bool, text string) error {
	switch text {
	case textTrue:
		*at = true
	case textFalse:
		*at = false
	default:
		return fmt.Errorf("%s is %q; must be true or false", s.Name, text)
	}
	return nil
}

func (s *Signal) setNumber(at *float64, text string) error {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is %q; must be a number", s.Name, text)
	}
	*at = v
	return nil
}

func (s *Signal) badWord(text string) error {
	return fmt.Errorf("%s is %q; must be %s", s.Name, text, oneOf(s.Words))
}

// oneOf reads like: off, hold, move or press.
func oneOf(words []string) string {
	shown := make([]string, 0, len(words))
	for _, w := range words {
		if w != "" {
			shown = append(shown, w)
		}
	}
	if len(shown) < 2 {
		return strings.Join(shown, "")
	}
	last := len(shown) - 1
	return strings.Join(shown[:last], ", ") + " or " + shown[last]
}

package trendcmd

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/plant/problem"
	"holdbench/sim/evaluate"
)

// object is what is read of an evaluation. What evaluate tells beside it may change from version to version;
// the figures are read strictly, so that none is overlooked.
type object struct {
	Rig     string          `json:"rig"`
	SHA256  string          `json:"sha256"`
	Date    string          `json:"date"`
	Verdict string          `json:"verdict"`
	Cause   string          `json:"cause"`
	Against string          `json:"requirement"`
	Set     []string        `json:"settings"`
	Weak    []string        `json:"reservations"`
	Figures json.RawMessage `json:"figures"`
	Second  json.RawMessage `json:"figures_brake_2"`
	Checks  []struct {
		Movement *evaluate.MovementMargin `json:"movement"`
	} `json:"checks"`
	command.Origin
}

// mostOfFigure is the largest size of a figure in its unit: far beyond any that is measured, and still a number
// to calculate with.
const mostOfFigure = 1e9

// readEvaluations reads a file of objects, one after the other.
func (r *reader) readEvaluations(path string) error {
	text, err := files.ReadFile(path)
	if err != nil {
		return err
	}
	if bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff")) {
		return problem.List{{File: path, Message: "is written in UTF-16; must be UTF-8: let evaluate write it from a shell that keeps the bytes"}}
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	d := json.NewDecoder(bytes.NewReader(text))
	n := 0
	for ; ; n++ {
		begin := int(d.InputOffset())
		begin += len(text[begin:]) - len(bytes.TrimLeft(text[begin:], " \t\r\n"))
		place := problem.Problem{File: path, Line: 1 + bytes.Count(text[:begin], []byte("\n")), Column: begin - bytes.LastIndexByte(text[:begin], '\n')}
		name := path
		if n > 0 {
			name = fmt.Sprintf("%s:%d", path, place.Line)
		}
		err := r.next(d, name, path)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			place.Message = err.Error()
			if at := errorAt(err, text, begin); at > begin {
				place.Line, place.Column = 1+bytes.Count(text[:at], []byte("\n")), at-bytes.LastIndexByte(text[:at], '\n')
			}
			return problem.List{place}
		}
	}
	if n == 0 {
		return problem.List{{File: path, Message: "is empty; must have what evaluate --json prints"}}
	}
	return nil
}

// errorAt is the place in a text at which an object that begins at a place cannot be read.
func errorAt(err error, text []byte, begin int) int {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	at := begin
	switch {
	case errors.As(err, &syntax):
		at = int(syntax.Offset) - 1
	case errors.As(err, &kind):
		at = begin + int(kind.Offset) - 1
	case errors.Is(err, io.ErrUnexpectedEOF):
		at = len(text)
	}
	return max(begin, min(at, len(text)))
}

// next reads one object.
func (r *reader) next(d *json.Decoder, name, path string) error {
	var o object
	switch err := d.Decode(&o); {
	case errors.Is(err, io.EOF):
		return io.EOF
	case errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("ends in the middle of an object, as a file that was cut off; must be what evaluate --json prints: %w", err)
	case err != nil:
		return fmt.Errorf("is not what evaluate --json prints: %w", err)
	case o.Rig == "" || o.SHA256 == "" || len(o.Figures) == 0 || len(o.Sources) == 0:
		return errors.New("is not what evaluate --json prints: rig, sha256, figures or sources is missing")
	}
	e := &evaluate.Evaluation{Rig: o.Rig, SHA256: o.SHA256, Date: o.Date, Verdict: o.Verdict, Cause: o.Cause, Requirement: o.Against, Reservations: o.Weak}
	if err := readFigures(o.Figures, o.Version, &e.Figures); err != nil {
		return err
	}
	if len(o.Second) > 0 && string(o.Second) != "null" {
		e.Figures2 = &evaluate.Figures{}
		if err := readFigures(o.Second, o.Version, e.Figures2); err != nil {
			return err
		}
	}
	for _, c := range o.Checks {
		e.Checks = append(e.Checks, evaluate.Check{Movement: c.Movement})
	}
	return r.add(name, path, e, o.Origin, o.Set)
}

func readFigures(text json.RawMessage, version string, to *evaluate.Figures) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(to); err != nil {
		return fmt.Errorf("has figures that version %s does not know, it was made by %s: %s; evaluate the recording again", command.Version(), version, err.Error())
	}
	for _, f := range evaluate.FigureList() {
		if x := f.Value(to); x != nil && math.Abs(*x) > mostOfFigure {
			return fmt.Errorf("%s is %g %s; must be at most %g %s", f.Name, *x, f.Unit, mostOfFigure, f.Unit)
		}
	}
	return nil
}

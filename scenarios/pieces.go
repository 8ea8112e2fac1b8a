package scenarios

import (
	"fmt"
	"reflect"

	"holdbench/plant/identify"
	"holdbench/plant/problem"
)

// piecesDocument is a document of the pieces of recordings.
type piecesDocument struct {
	Recordings []identify.Pieces `yaml:"recordings"`
}

// LoadPieces reads the pieces of recordings from a file, by the names of the recordings. The error is a
// [problem.List] with file and line.
func LoadPieces(file string) (map[string][]identify.Piece, error) {
	text, err := readBounded(file)
	if err != nil {
		return nil, fmt.Errorf("cannot read the pieces: %w", err)
	}
	return ParsePieces(file, text)
}

// ParsePieces reads the pieces of recordings from their text.
func ParsePieces(name string, text []byte) (map[string][]identify.Piece, error) {
	s, err := read(name, text)
	if err == nil {
		err = s.refuseKind("", "a document of pieces, its first key recordings")
	}
	if err != nil {
		return nil, err
	}
	var d piecesDocument
	if err := s.decode("$", s.root(), &d); err != nil {
		return nil, err
	}
	var found problem.List
	pieces := map[string][]identify.Piece{}
	for i, r := range d.Recordings {
		path := fmt.Sprintf("$.recordings[%d]", i)
		if _, twice := pieces[r.Recording]; twice {
			found = append(found, s.problem(path+".recording", 0, fmt.Sprintf("recording %q is there twice; must be once", r.Recording)))
		}
		for _, p := range problem.Of(identify.CheckPieces(path+".pieces", r.Pieces)) {
			found = append(found, s.problem(p.Path, 0, p.Message))
		}
		pieces[r.Recording] = r.Pieces
	}
	return pieces, found.OrNil()
}

// FormatPieces writes pieces as a document that [ParsePieces] reads.
func FormatPieces(pieces []identify.Pieces, header string) ([]byte, error) {
	tree, err := elementOf(reflect.ValueOf(piecesDocument{pieces}), "")
	if err != nil {
		return nil, fmt.Errorf("cannot write the pieces: %w", err)
	}
	for i := range tree.entries[0].value.entries {
		list := &tree.entries[0].value.entries[i].value.entries[1].value // pieces, a line each
		for n := range list.entries {
			list.entries[n].value.block = false
		}
	}
	text := []byte(commented(header) + tree.blockText(""))
	if _, err := ParsePieces("as written", text); err != nil {
		return nil, fmt.Errorf("cannot write the pieces: %w", err)
	}
	return text, nil
}

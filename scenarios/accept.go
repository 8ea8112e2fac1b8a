package scenarios

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim/probe"
)

//go:embed accepted
var acceptedFiles embed.FS

// Accepted is a document of outcomes of a probe that are accepted by name.
type Accepted struct {
	probe.Acceptances
	source *source
}

// AcceptedNames lists the built-in ones, each named after its sequence.
func AcceptedNames() []string {
	var names []string
	files, _ := acceptedFiles.ReadDir("accepted") // embedded, it cannot fail
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f.Name(), ".yaml"))
	}
	return names
}

// LoadAccepted reads such a document, a built-in one or a file, for a sequence with some states. The error
// is a [problem.List] with file and line.
func LoadAccepted(reference string, states []string) (*Accepted, error) {
	name, text, err := findAccepted(reference)
	if err != nil {
		return nil, err
	}
	s, err := read(name, text)
	if err == nil {
		err = s.refuseKind("", "a document of accepted outcomes, its first key accept")
	}
	if err != nil {
		return nil, err
	}
	r := &Accepted{source: s}
	if err := s.decode("$", s.root(), &r.Acceptances); err != nil {
		return nil, err
	}
	return r, r.Locate(problem.Of(r.Check(states))).OrNil()
}

func findAccepted(reference string) (string, []byte, error) {
	if slices.Contains(AcceptedNames(), reference) {
		file := path.Join("accepted", reference+".yaml")
		text, err := acceptedFiles.ReadFile(file)
		return "builtin:" + file, text, err
	}
	text, err := readBounded(reference)
	switch {
	case err == nil:
		return reference, text, nil
	case looksLikeFile(reference):
		return "", nil, fmt.Errorf("cannot read the accepted outcomes: %w", err)
	}
	return "", nil, fmt.Errorf("there are no accepted outcomes %q, neither built in nor as a file; %s", reference, sequence.Suggest(reference, AcceptedNames()))
}

// Locate sets the lines of problems with the entries.
func (r *Accepted) Locate(found problem.List) problem.List { return r.source.located("$", found) }

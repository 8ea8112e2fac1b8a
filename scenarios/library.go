// Package scenarios holds the built-in documents and reads rigs, sequences and
// scenarios from files. What is wrong with a document is reported all at once, each
// with file, line and column.
package scenarios

import (
	"context"
	"embed"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"holdbench/plant"
	"holdbench/scenarios/wholefile"
	"holdbench/sequence"
)

// Kind is what a document describes.
type Kind string

// The kinds of documents, each named after its first key.
const (
	RigKind      Kind = "rig"
	SequenceKind Kind = "sequence"
	ScenarioKind Kind = "scenario"
)

// Kinds lists the kinds of documents.
func Kinds() []Kind { return []Kind{ScenarioKind, RigKind, SequenceKind} }

// Entry is one built-in document.
type Entry struct {
	Kind  Kind
	Name  string
	Group string // folder of a scenario, empty for the others
	file  string // in the embedded files; empty for the reference sequence
}

//go:embed library rigs sequences equivalents
var builtin embed.FS

const (
	referenceName = "reference"
	twoBrakesName = "two-brakes"
)

// SequenceFor is the name of the sequence that tests a rig: the one that is asked for, or else the
// built-in one for its number of brakes.
func SequenceFor(rig *plant.Rig, asked string) string {
	switch {
	case asked != "":
		return asked
	case rig.Brake2.Exists():
		return twoBrakesName
	}
	return referenceName
}

// Builtin lists the built-in documents of a kind in the order of their groups and
// names.
func Builtin(kind Kind) []Entry { return slices.Clone(builtins()[kind]) }

//nolint:gochecknoglobals // made once, never changed
var builtins = sync.OnceValue(func() map[Kind][]Entry {
	all := map[Kind][]Entry{}
	for _, kind := range Kinds() {
		all[kind] = embedded(kind)
	}
	return all
})

// embedded walks the embedded files.
func embedded(kind Kind) []Entry {
	var list []Entry
	if kind == SequenceKind {
		list = append(list, Entry{Kind: kind, Name: referenceName})
	}
	root := map[Kind]string{RigKind: "rigs", SequenceKind: "sequences", ScenarioKind: "library"}[kind]
	// The walk over embedded files cannot fail.
	_ = fs.WalkDir(builtin, root, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if !isYAML(file) {
			return nil // the program of a binding
		}
		e := Entry{Kind: kind, Name: strings.TrimSuffix(path.Base(file), ".yaml"), file: file}
		if kind == ScenarioKind {
			e.Group = path.Base(path.Dir(file))
		}
		list = append(list, e)
		return nil
	})
	return list
}

// Names lists the names of the built-in documents of a kind.
func Names(kind Kind) []string {
	var names []string
	for _, e := range Builtin(kind) {
		names = append(names, e.Name)
	}
	return names
}

// Text returns the document of a reference, a built-in name or a file, with its name
// in messages.
func Text(kind Kind, reference string) (name string, text []byte, err error) {
	return find(kind, reference, "")
}

// find searches for a built-in document first, then for a file, relative to a folder.
func find(kind Kind, reference, folder string) (string, []byte, error) {
	for _, e := range builtins()[kind] {
		if e.Name == reference {
			return e.read()
		}
	}
	file := within(folder, reference)
	text, err := readBounded(file)
	if err == nil {
		return file, text, nil
	}
	if looksLikeFile(reference) {
		return "", nil, unreadable(string(kind), file, err)
	}
	if other := refuseBuiltin(kind, reference); other != nil {
		return "", nil, other
	}
	if isNamed(file) {
		return "", nil, unreadable(string(kind), file, err)
	}
	return "", nil, fmt.Errorf("there is no %s %q, neither built in nor as a file; %s", kind, reference, sequence.Suggest(reference, Names(kind)))
}

// readBounded reads at most one byte more than a document may have, so that the length is reported as too
// large. Pipes and devices are refused.
func readBounded(file string) ([]byte, error) {
	f, err := wholefile.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }() // nothing was written
	return io.ReadAll(io.LimitReader(f, maxBytes+1))
}

func (e Entry) read() (string, []byte, error) {
	if e.file == "" {
		return "builtin:sequences/" + e.Name + ".yaml", sequence.Reference(), nil
	}
	text, err := builtin.ReadFile(e.file)
	return "builtin:" + e.file, text, err
}

func looksLikeFile(reference string) bool {
	return strings.ContainsAny(reference, `/\`) || isYAML(reference) || isProgram(reference)
}

// IsDocument is whether a file is a document, by the ending of its name.
func IsDocument(file string) bool { return isYAML(file) }

func isYAML(file string) bool {
	ext := strings.ToLower(filepath.Ext(file))
	return ext == ".yaml" || ext == ".yml"
}

// Expand turns paths into references of scenarios: a folder means every document
// below it that is a scenario, a built-in group for its scenarios, no path
// for everything built in. What it saw in folders comes back beside them. Once the context ends, a document counts
// as a scenario without a look into it.
func Expand(ctx context.Context, paths []string, reach Reach) ([]string, []Contents, error) {
	if len(paths) == 0 {
		return Names(ScenarioKind), nil, nil
	}
	var list []string
	var folders []Contents
	for _, p := range paths {
		if info, err := os.Stat(p); err != nil || !info.IsDir() {
			list = append(list, groupOrItself(p)...)
			continue
		}
		c, err := contentsOf(ctx, p, reach)
		if err != nil {
			return nil, nil, err
		}
		list, folders = append(list, c.Scenarios...), append(folders, *c)
	}
	return list, folders, nil
}

// groupOrItself are the scenarios of a built-in group, or what no group is called.
func groupOrItself(p string) []string {
	var group []string
	for _, e := range Builtin(ScenarioKind) {
		if e.Group == p {
			group = append(group, e.Name)
		}
	}
	if len(group) > 0 {
		return group
	}
	return []string{p}
}

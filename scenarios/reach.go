package scenarios

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"holdbench/sequence/binding"
)

// Reach is how far documents may lead: by the files that they name, and by links in a folder of documents. What
// the command line names may be anywhere.
type Reach bool

// The reaches.
const (
	Below    Reach = false // to what is below the folder of the document or the working directory
	Anywhere Reach = true
)

// errOutside is the reason of what a document may not lead to.
var errOutside = errors.New("it is outside the folder of the document and the current folder; must be below one of them, or --allow-outside be given")

// check refuses a file that is neither below a folder nor below the working directory. A link counts as the
// place to which it leads. Nothing is read of what is refused, not even whether it is there.
func (r Reach) check(folder, file string) error {
	if r == Anywhere {
		return nil
	}
	place := resolved(file)
	for _, root := range []string{folder, "."} {
		if root == "" {
			continue
		}
		if way, err := filepath.Rel(resolved(root), place); err == nil && filepath.IsLocal(way) {
			return nil
		}
	}
	return errOutside
}

// mostLinks bounds how many links one behind the other are followed.
const mostLinks = 40

// resolved is the whole path of a file without links, as far as it is there. A link that leads nowhere counts as
// the place to which it leads.
func resolved(file string) string {
	for range mostLinks {
		target, err := os.Readlink(file)
		folder, errFolder := filepath.EvalSymlinks(filepath.Dir(file))
		if err != nil || errFolder != nil {
			break
		}
		file = within(folder, target)
	}
	if place, err := filepath.EvalSymlinks(file); err == nil {
		file = place
	}
	whole, err := filepath.Abs(file)
	if err != nil {
		return file // without a working directory
	}
	missing := ""
	for there := whole; ; there = filepath.Dir(there) {
		place, err := filepath.EvalSymlinks(there)
		if err == nil || there == filepath.Dir(there) {
			return filepath.Join(place, missing)
		}
		missing = filepath.Join(filepath.Base(there), missing)
	}
}

// checkReach refuses a document that this one names and may not lead to.
func (s *source) checkReach(kind Kind, reference string) error {
	if slices.Contains(Names(kind), reference) {
		return nil
	}
	files := []string{reference}
	if kind == SequenceKind && isProgram(reference) {
		files = append(files, BindingBeside(reference))
	}
	for _, file := range files {
		if err := s.reach.check(s.folder(), within(s.folder(), file)); err != nil {
			return fmt.Errorf("cannot read %s %s: %w", kind, file, err)
		}
	}
	return nil
}

// foreign is why a document that another one names is none of the kind; nil if it is one, or meant as one. It
// has nothing of the text, which may be that of any file.
func foreign(want Kind, reference, name string, text []byte) error {
	if shared.read(want, name, text) {
		return nil
	}
	keys := lineKeys(text)
	if src, err := read(name, text); err == nil {
		keys = src.keys()
	}
	switch is, _ := kindOfKeys(keys); is {
	case want:
		return nil
	case "":
		return fmt.Errorf("%s is not a document of holdbench; must be a %s, with the key %s", reference, want, want)
	default:
		return fmt.Errorf("%s is a %s; must be a %s", reference, is, want)
	}
}

// foreignProgram is the same of the program of a binding.
func foreignProgram(file string, text []byte) error {
	if binding.IsProgram(text) {
		return nil
	}
	return fmt.Errorf("%s is not a program in Structured Text; must begin with PROGRAM, FUNCTION_BLOCK, FUNCTION or TYPE, and have its END_", file)
}

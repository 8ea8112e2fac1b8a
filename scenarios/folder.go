package scenarios

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Contents are the documents of a folder: each file below it that ends in .yaml or .yml is in one of the lists.
type Contents struct {
	Folder    string
	Scenarios []string    // taken; one that cannot be read is among them, so that its loading says why
	Others    []OtherFile // left out
	Outside   []string    // links that lead out of the folder, which are not followed
}

// OtherFile is a document that is no scenario.
type OtherFile struct {
	File string
	Kind Kind // empty for a document of another program
}

// String counts what was seen, taken and left out, and names what was left out.
func (c *Contents) String() string {
	text := fmt.Sprintf("folder %s: %d .yaml seen, %d taken as scenarios, %d left out",
		c.Folder, len(c.Scenarios)+len(c.Others), len(c.Scenarios), len(c.Others))
	var kinds []string
	for _, kind := range []Kind{RigKind, SequenceKind, ""} {
		var names []string
		for _, o := range c.Others {
			if o.Kind == kind {
				names = append(names, c.within(o.File))
			}
		}
		if len(names) > 0 {
			kinds = append(kinds, fmt.Sprintf("%s (%s)", kindCount(kind, len(names)), strings.Join(names, ", ")))
		}
	}
	if len(kinds) > 0 {
		text += ": " + strings.Join(kinds, ", ")
	}
	return text
}

// within is a file of the folder without its name.
func (c *Contents) within(file string) string {
	if name, err := filepath.Rel(c.Folder, file); err == nil {
		return name
	}
	return file
}

func kindCount(kind Kind, n int) string {
	switch {
	case kind == "":
		return fmt.Sprintf("%d not of holdbench", n)
	case n == 1:
		return "1 " + string(kind)
	}
	return fmt.Sprintf("%d %ss", n, kind)
}

// contentsOf looks at the documents of a folder.
func contentsOf(ctx context.Context, folder string, reach Reach) (*Contents, error) {
	files, outside, err := FilesBelow(folder, isYAML, reach)
	if err != nil {
		return nil, err
	}
	c := &Contents{Folder: folder, Outside: outside}
	for _, file := range files {
		kind := ScenarioKind
		if ctx.Err() == nil {
			kind = kindOfFile(file)
		}
		if kind == ScenarioKind {
			c.Scenarios = append(c.Scenarios, file)
		} else {
			c.Others = append(c.Others, OtherFile{file, kind})
		}
	}
	if len(c.Scenarios)+len(c.Outside) > 0 {
		return c, nil
	}
	err = fmt.Errorf("there is no scenario in folder %s; a scenario is a .yaml file with the key scenario", folder)
	if len(c.Others) > 0 {
		err = fmt.Errorf("%w; %s", err, c)
	}
	return nil, err
}

// kindOfFile is the kind of the document in a file; one that cannot be read counts as a scenario.
func kindOfFile(file string) Kind {
	text, err := readBounded(file)
	if err != nil {
		return ScenarioKind
	}
	kind, _ := kindOf(text)
	return kind
}

// FilesBelow lists the files below a folder whose names are wanted, in the order of their names. Links to
// folders are followed; a folder is looked at once, so that they may lead in a circle. Links that lead out of
// the reach come back beside the files, and are not followed.
func FilesBelow(folder string, wanted func(name string) bool, reach Reach) (files, outside []string, err error) {
	w := walk{root: folder, reach: reach, wanted: wanted, seen: map[string]bool{}}
	if err := w.folder(folder); err != nil {
		return nil, nil, fmt.Errorf("cannot read folder %s: %w", folder, err)
	}
	return w.files, w.outside, nil
}

// RefuseOutside is the error of a link in a folder of documents that leads out of it.
func RefuseOutside(link string) error {
	return fmt.Errorf("link %s is not followed: it leads out of the folder and of the current folder; must lead below one of them, or --allow-outside be given", link)
}

type walk struct {
	root           string
	reach          Reach
	wanted         func(name string) bool
	seen           map[string]bool // folders, without links
	files, outside []string
}

func (w *walk) folder(folder string) error {
	place, err := filepath.EvalSymlinks(folder)
	if err != nil || w.seen[place] {
		return err
	}
	w.seen[place] = true
	entries, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, e := range entries {
		file := filepath.Join(folder, e.Name())
		linked := isLinkedFolder(e, file)
		switch {
		case e.Type()&fs.ModeSymlink != 0 && (linked || w.wanted(e.Name())) && w.reach.check(w.root, file) != nil:
			w.outside = append(w.outside, file)
		case e.IsDir(), linked:
			if err := w.folder(file); err != nil {
				return err
			}
		case w.wanted(e.Name()):
			w.files = append(w.files, file)
		}
	}
	return nil
}

func isLinkedFolder(e fs.DirEntry, file string) bool {
	if e.Type()&fs.ModeSymlink == 0 {
		return false
	}
	info, err := os.Stat(file) // a link that leads nowhere is a file that cannot be read
	return err == nil && info.IsDir()
}

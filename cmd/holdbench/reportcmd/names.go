package reportcmd

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// names are the folders that were given, each with how the record refers to it: by the folder's own name, so
// that the record is the same whichever way its path was written, and on every machine.
type names struct{ folders []folder }

type folder struct {
	path  string // absolute
	given string // as it was written
}

// add is a path that was given as an absolute one; what is built in, or is not there, stays as it is.
func (n *names) add(path string, builtin []string) string {
	info, err := os.Stat(path)
	if err != nil {
		return path
	}
	if !info.IsDir() && slices.Contains(builtin, path) {
		return path
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	f := folder{full, path}
	if !info.IsDir() {
		f = folder{filepath.Dir(full), filepath.Dir(path)}
	}
	n.folders = append(n.folders, f)
	return full
}

// shown is a text of the record: files below or beside a folder begin with the name of the folder.
func (n *names) shown(text string) string {
	for _, f := range n.folders {
		name, above := filepath.Base(f.path), filepath.Dir(f.path)
		if name == string(filepath.Separator) {
			continue
		}
		text = strings.ReplaceAll(text, f.path+string(filepath.Separator), name+"/")
		if filepath.Dir(above) != above {
			text = strings.ReplaceAll(text, above+string(filepath.Separator), "")
		}
	}
	return text
}

// told is a text for the person at the terminal: paths as they were given.
func (n *names) told(text string) string {
	for _, f := range n.folders {
		given := filepath.Clean(f.given) + string(filepath.Separator)
		if filepath.Clean(f.given) == "." {
			given = ""
		}
		text = strings.ReplaceAll(text, f.path+string(filepath.Separator), given)
	}
	return text
}

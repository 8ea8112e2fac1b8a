package scenarios

import (
	"embed"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
)

//go:embed recordings
var recordings embed.FS

// RecordingFiles are the files of the recordings that come with the program, of an invented axis: the rig by its
// data sheets, what was recorded to identify it, and its brake tests. Names have slashes.
func RecordingFiles() []string {
	var names []string
	// The walk over embedded files cannot fail.
	_ = fs.WalkDir(recordings, "recordings", func(file string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, file[len("recordings/"):])
		}
		return err
	})
	return names
}

// SaveRecordings writes these files into a folder that is there.
func SaveRecordings(folder string) error {
	for _, name := range RecordingFiles() {
		text, err := recordings.ReadFile(path.Join("recordings", name))
		if err != nil {
			return err
		}
		file := filepath.Join(folder, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o777), Save(file, text, false)); err != nil {
			return err
		}
	}
	return nil
}

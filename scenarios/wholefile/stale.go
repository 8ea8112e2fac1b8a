package wholefile

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// partEnding is the ending of a file that is being written, behind the name of its place and what was drawn.
const partEnding = ".part"

// staleAfter is how much older than a new file one must be that an ended process has left: so long a process may
// take to lock what it has just made.
const staleAfter = time.Minute

// lockOf locks a file that is being written; nil where locks are of no use: Windows removes no file that is open,
// and some file systems have no locks.
func lockOf(path string) *flock.Flock {
	if runtime.GOOS == "windows" {
		return nil
	}
	lock := flock.New(path, flock.SetFlag(os.O_RDWR))
	if locked, err := lock.TryLock(); err != nil || !locked {
		return nil
	}
	return lock
}

func (f *File) unlock() {
	if f.lock != nil {
		_ = f.lock.Close()
	}
}

// removeStale removes what processes that were killed have left of earlier files of the name: parts that are older
// than the new one and that no process has locked. What cannot be removed stays.
func removeStale(newest *os.File, folder, name string) {
	now, err := newest.Stat()
	if err != nil {
		return
	}
	in := folder
	if in == "" {
		in = "."
	}
	entries, err := os.ReadDir(in)
	if err != nil {
		return
	}
	for _, e := range entries {
		if !isPart(e, name) {
			continue
		}
		info, err := e.Info()
		if err != nil || now.ModTime().Sub(info.ModTime()) < staleAfter {
			continue
		}
		removeUnlocked(filepath.Join(folder, e.Name()))
	}
}

// isPart is whether an entry of a folder is named as a file of that name while it is written.
func isPart(e os.DirEntry, name string) bool {
	behind, begins := strings.CutPrefix(e.Name(), "."+name+".")
	drawn, ends := strings.CutSuffix(behind, partEnding)
	return begins && ends && len(drawn) == drawnLetters && e.Type().IsRegular()
}

func removeUnlocked(path string) {
	lock := lockOf(path)
	if lock == nil && runtime.GOOS != "windows" {
		return
	}
	_ = os.Remove(path)
	if lock != nil {
		_ = lock.Close()
	}
}

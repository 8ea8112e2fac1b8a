package checkcmd

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"holdbench/scenarios"
)

// fileWatch finds out which files have other contents than those that were read.
type fileWatch struct {
	reach   scenarios.Reach
	folders []string            // whose documents are watched, those that come among them
	read    map[string]string   // hash of what was read of a file; empty of one that could not be read
	newest  map[string]string   // the same at the newest look
	seen    map[string]seenFile // so that only what may have changed is read again
}

// seenFile is a file as it was when it was read.
type seenFile struct {
	info fs.FileInfo
	hash string
}

// changedMeanwhile stands for contents that were not the same to all that read them.
const changedMeanwhile = "changed"

// follow watches the files that items were read from, and the documents in the folders among the paths.
func (w *fileWatch) follow(paths []string, items []*item) {
	w.folders = slices.DeleteFunc(slices.Clone(paths), func(p string) bool {
		info, err := os.Stat(p)
		return err != nil || !info.IsDir()
	})
	w.read = map[string]string{}
	for _, i := range items {
		for _, d := range i.sources {
			if d.File == "" {
				continue
			}
			if hash, ok := w.read[d.File]; ok && hash != d.SHA256 {
				w.read[d.File] = changedMeanwhile
				continue
			}
			w.read[d.File] = d.SHA256
		}
	}
	for file, hash := range w.look() {
		if _, ok := w.read[file]; !ok { // no document that was read: as it was when the check began
			w.read[file] = cmp.Or(w.newest[file], hash)
		}
	}
}

// nothing is whether there is no file to watch.
func (w *fileWatch) nothing() bool { return len(w.read) == 0 && len(w.folders) == 0 }

// settled lists the files that have other contents than those that were read, once they have been the
// same for two looks: not while they are being written or replaced.
func (w *fileWatch) settled() []string {
	now := w.look()
	still := maps.Equal(now, w.newest)
	w.newest = now
	if !still {
		return nil
	}
	var changed []string
	for file := range w.read {
		if now[file] != w.read[file] {
			changed = append(changed, file)
		}
	}
	for file := range now {
		if _, ok := w.read[file]; !ok {
			changed = append(changed, file)
		}
	}
	slices.Sort(changed)
	return changed
}

// look is the hash of each file that is watched; empty of one that cannot be read.
func (w *fileWatch) look() map[string]string {
	now := map[string]string{}
	for file := range w.read {
		now[file] = w.hash(file)
	}
	for _, folder := range w.folders {
		// A folder that cannot be read has no documents until it can.
		documents, _, _ := scenarios.FilesBelow(folder, isDocument, w.reach)
		for _, file := range documents {
			now[file] = w.hash(file)
		}
	}
	return now
}

// isDocument is whether a file may be read for a scenario.
func isDocument(file string) bool {
	return scenarios.IsDocument(file) || strings.EqualFold(filepath.Ext(file), ".st")
}

func (w *fileWatch) hash(file string) string {
	info, err := os.Stat(file)
	if err != nil || !info.Mode().IsRegular() {
		return ""
	}
	if old, ok := w.seen[file]; ok && os.SameFile(old.info, info) && old.info.Size() == info.Size() && old.info.ModTime().Equal(info.ModTime()) {
		return old.hash
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(text)
	if w.seen == nil {
		w.seen = map[string]seenFile{}
	}
	w.seen[file] = seenFile{info, hex.EncodeToString(sum[:])}
	return w.seen[file].hash
}

package scorecmd

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/plant/problem"
	"holdbench/sim/training"
)

// read reads all files, and says all that is wrong with them at once.
func read(args []string) ([]training.Answer, error) {
	paths, err := filesBelow(args)
	if err != nil {
		return nil, err
	}
	var list []training.Answer
	var wrong problem.List
	for _, path := range paths {
		text, err := files.ReadFile(path)
		if err != nil {
			return nil, err
		}
		answers, found := parse(path, text)
		list, wrong = append(list, answers...), append(wrong, found...)
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	return list, nil
}

func parse(path string, text []byte) (list []training.Answer, wrong problem.List) {
	number := 0
	for line := range bytes.Lines(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))) {
		number++
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		answer, err := training.ParseAnswer(line)
		if err != nil {
			wrong = append(wrong, problem.Problem{File: path, Line: number, Column: 1, Message: err.Error()})
			continue
		}
		list = append(list, answer)
	}
	if len(list)+len(wrong) == 0 {
		wrong = problem.List{{File: path, Message: "is empty; must have results of riddles, one JSON object a line"}}
	}
	return list, wrong
}

// filesBelow lists files, each once, and those of results in folders by their names.
func filesBelow(args []string) ([]string, error) {
	var paths []string
	seen := map[string]bool{}
	add := func(path string) {
		if path = filepath.Clean(path); !seen[path] {
			seen[path] = true
			paths = append(paths, path)
		}
	}
	for _, arg := range args {
		about, err := os.Stat(arg)
		switch {
		case err != nil:
			return nil, files.CannotRead(arg, err)
		case !about.IsDir():
			add(arg)
			continue
		}
		inside, err := os.ReadDir(arg)
		if err != nil {
			return nil, files.CannotRead(arg, err)
		}
		found := false
		for _, entry := range inside {
			if !entry.IsDir() && strings.ToLower(filepath.Ext(entry.Name())) == ".jsonl" {
				found = true
				add(filepath.Join(arg, entry.Name()))
			}
		}
		if !found {
			return nil, problem.List{{File: arg, Message: "has no results in it; must have files that end in .jsonl"}}
		}
	}
	return paths, nil
}

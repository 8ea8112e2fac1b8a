//go:build unix

// Package drawcache gives the library that draws graphs a folder of the user's own for its native code.
//
// The library translates its WebAssembly while the program starts and keeps the native code in a folder of a
// fixed name below that for temporary files, from where the next start loads it. On a machine of several users
// anybody could lay code there before. The library has no setting for it, and it starts before main. So TMPDIR
// names another folder while packages are initialised: one below the user's cache that nobody else may write.
// Where there is none, nothing is kept, and each start translates.
//
// Packages are initialised in the order of their import paths, each as soon as what it imports is (Go
// specification, "Program initialization"). This one imports syscall alone, so it comes before package os,
// which the library needs. A test of the built program holds it.
package drawcache

import "syscall"

const variable = "TMPDIR"

// nowhere is where no folder can be made.
const nowhere = "/dev/null"

// onlyOwner is the permissions of a folder that is its owner's alone.
const onlyOwner, permissions = 0o700, 0o777

//nolint:gochecknoglobals // what init changes, Over changes back
var before struct {
	folder string
	set    bool
}

func init() { //nolint:gochecknoinits // nothing else comes before the library
	before.folder, before.set = syscall.Getenv(variable)
	_ = syscall.Setenv(variable, own()) // it fails for a name with NUL alone
}

// Over restores the environment. It is called when the library is initialised.
func Over() {
	if before.set {
		_ = syscall.Setenv(variable, before.folder)
		return
	}
	_ = syscall.Unsetenv(variable)
}

// own is a folder below the user's cache that only the user can read and write, or one that does not exist.
func own() string {
	cache, set := syscall.Getenv("XDG_CACHE_HOME")
	if !set || cache == "" {
		home, _ := syscall.Getenv("HOME")
		cache = home + "/.cache"
	}
	if cache[0] != '/' {
		return nowhere
	}
	_ = syscall.Mkdir(cache, onlyOwner) // it is there as a rule
	folder := cache + "/holdbench"
	_ = syscall.Mkdir(folder, onlyOwner)
	var found syscall.Stat_t
	err := syscall.Lstat(folder, &found)
	if err != nil || found.Mode&syscall.S_IFMT != syscall.S_IFDIR || found.Mode&permissions != onlyOwner || int(found.Uid) != syscall.Geteuid() {
		return nowhere
	}
	return folder
}

package main

import "runtime/debug"

// version is what the build tells of itself: a release, or the commit that a checkout was at.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of an unknown build"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	commit, changed := "", ""
	for _, x := range info.Settings {
		switch {
		case x.Key == "vcs.revision" && len(x.Value) >= 12:
			commit = x.Value[:12]
		case x.Key == "vcs.modified" && x.Value == "true":
			changed = ", changed since"
		}
	}
	if commit == "" {
		return "of a checkout"
	}
	return "of commit " + commit + changed
}

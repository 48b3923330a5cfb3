package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
	"deadrung/diagnose/log"
)

// folderList is the file folderMark.
type folderList struct {
	Deadrung int      `json:"deadrung"` // version of the form
	Files    []string `json:"files"`
}

// mayWrite tells whether a directory may be written into: it is not there, or empty, or
// holds nothing but an earlier folder; anything else only where that was said. It gives
// the files of the earlier folder.
func mayWrite(dir string, into bool) (earlier []string, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("cannot write the folder: %w", err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, folderMark)); err == nil {
		var list folderList
		if json.Unmarshal(text, &list) == nil && list.Deadrung == log.Version {
			for _, name := range list.Files {
				if name == filepath.Base(name) && name != ".." && name != "." { // never outside
					earlier = append(earlier, name)
				}
			}
		}
	}
	for _, e := range entries {
		if name := e.Name(); !into && name != folderMark && !slices.Contains(earlier, name) {
			return nil, fmt.Errorf("the directory %s holds other things, as %s: "+
				"name an empty one, or say --into", dir, name)
		}
	}
	return earlier, nil
}

// writeFolder writes the files of a folder. They are written elsewhere first, so that a
// folder is never half new: a new directory appears whole, and in one that is there each
// file is replaced at once, the index last. Files of an earlier folder that are no longer
// part of it go. A file without a text is there already and stays.
func writeFolder(dir string, names []string, files map[string][]byte, earlier []string) error {
	dir = filepath.Clean(dir)
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	stage, err := os.MkdirTemp(filepath.Dir(dir), ".folder-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(stage)
	list, err := json.Marshal(folderList{Deadrung: log.Version, Files: names})
	if err != nil {
		return err
	}
	made := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return files[name] == nil })
	for _, name := range made {
		if err := disk.PutNew(filepath.Join(stage, name), files[name], disk.Public); err != nil {
			return err
		}
	}
	if err := disk.PutNew(filepath.Join(stage, folderMark), append(list, '\n'), disk.Public); err != nil {
		return err
	}
	if _, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
		if err := os.Chmod(stage, 0o755); err != nil {
			return err
		}
		return os.Rename(stage, dir)
	}
	for _, name := range append(slices.DeleteFunc(made,
		func(n string) bool { return n == paper.IndexSheet }), folderMark, paper.IndexSheet) {
		if err := os.Rename(filepath.Join(stage, name), filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	for _, name := range earlier {
		if !slices.Contains(names, name) {
			if err := os.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
				return err
			}
		}
	}
	return nil
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
)

// write writes the folder: it is there whole, or not at all.
func (o *setOptions) write(ctx context.Context, set *exam.Set, models []*diagnose.Model,
	passphrase string, doing *talk.Stage, s streams) (*setResult, error) {
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	plain, err := set.Key.Marshal()
	if err != nil {
		return nil, err
	}
	sealed, err := exam.Seal(plain, passphrase, o.work)
	if err != nil {
		return nil, err
	}
	r := &setResult{Exam: set.Exam.ID, Title: set.Exam.Title, Form: set.Exam.Form, Dir: o.dir,
		Circuits: len(models), Candidates: len(set.Exam.Class), Faults: set.Exam.Faults,
		By: set.Exam.By, Fair: set.Choice.Fair(), Alike: [][2]int{}, Pool: len(set.Pool),
		Reach: set.Choice.Reach, Apart: set.Choice.Apart, Passed: set.Passed, Packets: []string{}}
	r.Effort = effortRange{exam.Tenth(slices.Min(set.Choice.Efforts)),
		exam.Tenth(slices.Max(set.Choice.Efforts)), set.Choice.Spread}
	for _, a := range set.Choice.Alike {
		r.Alike = append(r.Alike, [2]int{a[0] + 1, a[1] + 1})
	}
	used := make(map[int]bool)
	for _, tasks := range set.Choice.Tasks {
		for _, t := range tasks {
			used[t] = true
		}
	}
	r.Used = len(used)
	for _, name := range folderNames(&set.Key) {
		if err := s.files.Claim("--dir", filepath.Join(o.dir, name)); err != nil {
			return nil, err
		}
	}
	err = newExamFolder(o.dir, func(dir string) error {
		for _, name := range []string{packetsDir, answersDir} {
			if err := os.Mkdir(filepath.Join(dir, name), 0o700); err != nil {
				return err
			}
		}
		if err := disk.PutNew(filepath.Join(dir, keyFile), []byte(sealed), disk.Private); err != nil {
			return err
		}
		for i := range set.Key.Keys {
			if ctx.Err() != nil {
				return talk.ErrInterrupted
			}
			doing.Say(fmt.Sprintf("Packet %d of %d", i+1, len(set.Key.Keys)))
			k := &set.Key.Keys[i]
			p, err := exam.PacketOf(&set.Exam, k, sealed, models)
			if err != nil {
				return err
			}
			text, err := json.Marshal(p)
			if err != nil {
				return err
			}
			name := filepath.Join(packetsDir, numberedName(k.Candidate, packetEnd))
			if err := disk.PutNew(filepath.Join(dir, name), append(text, '\n'), disk.Private); err != nil {
				return err
			}
			r.Largest = max(r.Largest, len(text)+1)
			r.Packets = append(r.Packets, filepath.Join(o.dir, name))
		}
		text, err := json.MarshalIndent(set.Exam, "", "  ")
		if err != nil {
			return err
		}
		return disk.PutNew(filepath.Join(dir, examFile), append(text, '\n'), disk.Private)
	})
	switch {
	case errors.Is(err, talk.ErrInterrupted):
		return nil, errors.New("interrupted; nothing was written")
	case err != nil:
		return nil, fmt.Errorf("cannot write the exam: %w", err)
	}
	return r, nil
}

// folderNames are the files that an exam's folder will have.
func folderNames(k *exam.Key) []string {
	names := []string{examFile, keyFile}
	for i := range k.Keys {
		names = append(names, filepath.Join(packetsDir, numberedName(k.Keys[i].Candidate, packetEnd)))
	}
	return names
}

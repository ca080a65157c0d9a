//go:build e2e && linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// mapping is the head of one in smaps (proc(5)): addresses, rights, offset,
// device, inode, and its file where it has one.
var mapping = regexp.MustCompile(`^[0-9a-f]+-[0-9a-f]+ \S+ \S+ \S+ \S+ *(.*)$`)

// resident tells what of the program is in memory, in MB of 2^20: all of it, and by the
// file that the pages are of. Of those without a file it names the largest.
func (s *stage) resident(app *background) string {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps", app.Process.Pid))
	if err != nil {
		s.t.Fatal(err)
	}
	parts, all, file := map[string]int{}, 0, ""
	var without []int
	for line := range strings.Lines(string(text)) {
		if m := mapping.FindStringSubmatch(strings.TrimSpace(line)); m != nil {
			file = m[1]
		}
		kb, ok := strings.CutPrefix(line, "Rss:")
		if !ok {
			continue
		}
		n, _ := strconv.Atoi(strings.Fields(kb)[0])
		all += n
		part := partOf(file)
		parts[part] += n
		if part == "no file" && n >= 2<<10 {
			without = append(without, n>>10)
		}
	}
	told := []string{fmt.Sprintf("%d MB", all>>10)}
	for _, p := range []string{"libLLVM", "Mesa", "the program's file", "other files", "no file"} {
		told = append(told, fmt.Sprintf("%s %.1f", p, float64(parts[p])/1024))
	}
	slices.SortFunc(without, func(a, b int) int { return b - a })
	return fmt.Sprint(strings.Join(told, ", "), ", of which the largest ", without)
}

// partOf says whose a mapping of that file is.
func partOf(file string) string {
	switch name := filepath.Base(file); {
	case strings.HasPrefix(name, "libLLVM"):
		return "libLLVM"
	case strings.HasSuffix(name, "_dri.so"), strings.HasPrefix(name, "libgallium"):
		return "Mesa"
	case name == "driftdrill":
		return "the program's file"
	case strings.HasPrefix(file, "/"):
		return "other files"
	}
	return "no file"
}

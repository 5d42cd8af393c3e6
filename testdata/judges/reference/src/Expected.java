import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;

/** The warnings that are known, each with the reason why it may stand. */
final class Expected {
  private static final class Line {
    final int number;
    final String id;
    final Pattern text;
    int matched;

    Line(int number, String id, Pattern text) {
      this.number = number;
      this.id = id;
      this.text = text;
    }
  }

  private final Path file;
  private boolean errorsToo;
  private final List<Line> lines = new ArrayList<>();

  /** Lines are "message id | pattern found in its text | reason"; # begins a comment. */
  Expected(Path file) throws IOException {
    this.file = file;
    List<String> text = Files.readAllLines(file);
    for (int i = 0; i < text.size(); i++) {
      if (text.get(i).isBlank() || text.get(i).startsWith("#")) {
        continue;
      }
      String[] cells = text.get(i).split(" \\| ", -1);
      if (cells.length != 3 || cells[2].isBlank()) {
        throw new IOException(
            file + ":" + (i + 1) + ": a line is: message id | pattern | reason");
      }
      lines.add(new Line(i + 1, cells[0].strip(), Pattern.compile(cells[1].strip())));
    }
  }

  /** Lets errors be listed too: of the guide, where the engine asks for what is not there. */
  void letErrors() {
    errorsToo = true;
  }

  /** Tells whether a finding is a warning of the list. An error is only where that was let. */
  boolean holds(Finding f) {
    if (f.severity() != Finding.Severity.WARNING && !(errorsToo && f.severity() == Finding.Severity.ERROR)) {
      return false;
    }
    for (Line line : lines) {
      if (line.id.equals(f.id()) && line.text.matcher(f.text()).find()) {
        line.matched++;
        return true;
      }
    }
    return false;
  }

  /** The lines that excused nothing, which must go. */
  List<String> unused() {
    return lines.stream()
        .filter(line -> line.matched == 0)
        .map(line -> file + ":" + line.number + ": excuses nothing: " + line.id)
        .toList();
  }
}

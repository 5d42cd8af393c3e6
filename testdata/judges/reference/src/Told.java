import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.TreeSet;

/** What the engine said of many files, as a table for others to compare. */
final class Told {
  private Told() {}

  /**
   * Writes a line for each error and warning, and one with the severity "none" for what is clean:
   * file, severity, message id, place, text, divided by tabs, sorted, each once.
   */
  static void write(Path to, List<String> names, List<List<Finding>> found) throws IOException {
    TreeSet<String> lines = new TreeSet<>();
    for (int i = 0; i < names.size(); i++) {
      String name = Path.of(names.get(i)).getFileName().toString();
      boolean clean = true;
      for (Finding f : found.get(i)) {
        if (f.severity() == Finding.Severity.INFORMATION) {
          continue;
        }
        clean = false;
        String place = f.place().replaceAll("^Line\\[[^:]*: ", "");
        lines.add(String.join("\t", name, f.severity().name().toLowerCase(), f.id(), place, f.text().replaceAll("\\s+", " ")));
      }
      if (clean) {
        lines.add(String.join("\t", name, "none", "", "", ""));
      }
    }
    // As bytes: the engine repeats halves of characters from texts that have such, and
    // writing lines would refuse them.
    Files.write(to, (String.join("\n", lines) + "\n").getBytes(StandardCharsets.UTF_8));
  }
}

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Faults that the engine must see, so that its silence on our bundles means something. */
final class Faults {
  /** A bundle with one fault, and the words of the error or warning that must name it. */
  record Fault(String name, String resource, String wanted) {}

  private Faults() {}

  /**
   * Reads lines of five cells, divided by tabs: name, bundle, pattern, what its first match
   * becomes, and words of the finding. A line with # is a comment.
   */
  static List<Fault> read(Path file, Path bundles) throws IOException {
    List<Fault> faults = new ArrayList<>();
    for (String line : Files.readAllLines(file)) {
      if (line.isBlank() || line.startsWith("#")) {
        continue;
      }
      String[] cells = line.split("\t", -1);
      if (cells.length != 5) {
        throw new IOException(file + ": five cells are wanted: " + line);
      }
      Matcher place =
          Pattern.compile(cells[2]).matcher(Files.readString(bundles.resolve(cells[1])));
      if (!place.find()) {
        throw new IOException(file + ": " + cells[0] + ": " + cells[1] + " lacks " + cells[2]);
      }
      faults.add(new Fault(cells[0], place.replaceFirst(cells[3]), cells[4]));
    }
    return faults;
  }

  static boolean named(Fault fault, List<Finding> findings) {
    return findings.stream()
        .filter(f -> f.severity() != Finding.Severity.INFORMATION)
        .anyMatch(f -> f.text().contains(fault.wanted()));
  }
}

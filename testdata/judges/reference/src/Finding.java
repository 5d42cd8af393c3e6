import ca.uhn.fhir.validation.SingleValidationMessage;
import java.util.Locale;
import java.util.regex.Pattern;

/** What the engine says of one place of a resource, as this judge takes it. */
record Finding(Severity severity, String id, String place, String text) {
  enum Severity {
    INFORMATION,
    WARNING,
    ERROR
  }

  // The address of an object in memory, which differs in each run.
  private static final Pattern ADDRESS = Pattern.compile("@[0-9a-f]{5,}");

  static Finding of(SingleValidationMessage m) {
    String id = String.valueOf(m.getMessageId());
    String text = ADDRESS.matcher(m.getMessage().replaceAll("\\s+", " ")).replaceAll("@");
    return new Finding(severity(m, id, text), id, place(m), text);
  }

  /** What cannot be judged at all: the engine threw. */
  static Finding thrown(Throwable t) {
    String text = String.valueOf(t.getMessage()).replaceAll("\\s+", " ");
    return new Finding(Severity.ERROR, t.getClass().getSimpleName(), "", text);
  }

  static Finding error(String id, String place, String text) {
    return new Finding(Severity.ERROR, id, place, text);
  }

  /** The same finding, inside a part of what was judged. */
  Finding at(String part) {
    return new Finding(severity, id, part + ": " + place, text);
  }

  /** Tells whether this says of an entry what another finding says of its resource alone. */
  boolean tellsOf(String entry, Finding other) {
    return id.equals(other.id) && text.equals(other.text) && place.contains(entry);
  }

  /** The engine warns of two faults that are errors here. */
  private static Severity severity(SingleValidationMessage m, String id, String text) {
    boolean unresolved = id.equals("Bundle_BUNDLE_Not_Local");
    boolean unknownCode = text.contains("Unknown code");
    return switch (m.getSeverity()) {
      case INFORMATION -> Severity.INFORMATION;
      case WARNING -> unresolved || unknownCode ? Severity.ERROR : Severity.WARNING;
      case ERROR, FATAL -> Severity.ERROR;
    };
  }

  private static String place(SingleValidationMessage m) {
    String at = m.getLocationString() == null ? "" : m.getLocationString();
    at = at.replaceAll("/\\*(\\w+)/[^*]*\\*/", "($1)");
    return m.getLocationLine() == null ? at : m.getLocationLine() + ": " + at;
  }

  @Override
  public String toString() {
    String name = severity.name().toLowerCase(Locale.ROOT);
    return place + ": " + name + " " + id + ": " + text;
  }
}

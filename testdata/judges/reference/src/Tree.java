import com.google.gson.JsonArray;
import com.google.gson.JsonElement;
import com.google.gson.JsonObject;
import com.google.gson.JsonParser;
import com.google.gson.JsonPrimitive;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;

/** The JSON of a resource, for what the engine does not look at by itself. */
final class Tree {
  /** A coding with its place; display is null where none is given. */
  record Coding(String place, String system, String code, String display) {}

  /** The resource of an entry of a bundle, as text with its numbers as they were. */
  record Part(String place, String text) {}

  // The elements of resources in use whose items are codings.
  private static final Set<String> CODINGS = Set.of("coding", "security", "tag", "valueCoding");

  private final JsonObject root;

  /** Reads a resource; what is no JSON object has nothing to look at. */
  Tree(String text) {
    JsonElement read = JsonParser.parseString(text);
    root = read instanceof JsonObject object ? object : new JsonObject();
  }

  /** The resources of the entries of a bundle; none of another resource. */
  List<Part> entries() {
    List<Part> parts = new ArrayList<>();
    if (root.get("entry") instanceof JsonArray entries) {
      for (int i = 0; i < entries.size(); i++) {
        if (entries.get(i) instanceof JsonObject entry
            && entry.get("resource") instanceof JsonObject resource) {
          parts.add(new Part("Bundle.entry[" + i + "].resource", resource.toString()));
        }
      }
    }
    return parts;
  }

  /** Every coding, wherever it stands. */
  List<Coding> codings() {
    List<Coding> found = new ArrayList<>();
    gather(root, String.valueOf(text(root, "resourceType")), "", found);
    return found;
  }

  private static void gather(JsonElement at, String place, String name, List<Coding> found) {
    if (at instanceof JsonArray array) {
      for (int i = 0; i < array.size(); i++) {
        gather(array.get(i), place + "[" + i + "]", name, found);
      }
    } else if (at instanceof JsonObject object) {
      if (CODINGS.contains(name)) {
        String system = text(object, "system");
        found.add(new Coding(place, system, text(object, "code"), text(object, "display")));
      }
      for (Map.Entry<String, JsonElement> member : object.entrySet()) {
        gather(member.getValue(), place + "." + member.getKey(), member.getKey(), found);
      }
    }
  }

  private static String text(JsonObject object, String name) {
    return object.get(name) instanceof JsonPrimitive value ? value.getAsString() : null;
  }
}

// Runs the recordings of a folder through the interpreter of Qt, and compares states, outputs, kept values
// and causes after every scan with what the bench's machine did. Recordings and charts are written by
// TestWriteChartRecordings.
//
//	g++ -std=c++17 -O2 -fPIC qt.cpp -o qt $(pkg-config --cflags --libs Qt6Scxml)
//	./qt FOLDER [PART PARTS]
#include <QCoreApplication>
#include <QDir>
#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QLoggingCategory>
#include <QScxmlStateMachine>
#include <QTextStream>
#include <cmath>
#include <limits>
#include <memory>

// Session is an interpreter with what it has logged last.
struct Session {
    std::unique_ptr<QScxmlStateMachine> machine;
    QJsonObject shown;
};

// settle lets the interpreter do all that an event brings about, and then tell what it has logged meanwhile.
static void settle() {
    QCoreApplication::processEvents();
    QCoreApplication::processEvents();
}

static std::unique_ptr<Session> begin(const QString &chart, QString *error) {
    auto session = std::make_unique<Session>();
    session->machine.reset(QScxmlStateMachine::fromFile(chart));
    for (const QScxmlError &e : session->machine->parseErrors()) *error += e.toString() + "; ";
    if (!error->isEmpty()) return session;
    Session *s = session.get();
    QObject::connect(s->machine.get(), &QScxmlStateMachine::log, [s](const QString &label, const QString &text) {
        if (label == "entered") s->shown = QJsonDocument::fromJson(text.toUtf8()).object();
    });
    s->machine->connectToEvent("error.*", s->machine.get(), [error](const QScxmlEvent &e) {
        *error += e.name() + ": " + e.errorMessage() + "; ";
    });
    s->machine->start();
    settle();
    return session;
}

static void put(QJsonObject *into, const QJsonObject &changed) {
    for (auto it = changed.begin(); it != changed.end(); ++it) into->insert(it.key(), it.value());
}

static QString text(const QJsonValue &v) { return v.toVariant().toString(); }

// A number that rests on a cosine may differ in its last digits: 4 units of 2^-52, relative.
static bool same(const QJsonValue &got, const QJsonValue &want, bool byCosine) {
    return got == want || (byCosine && got.isDouble() && want.isDouble()
        && std::abs(got.toDouble() - want.toDouble()) <= 4 * std::numeric_limits<double>::epsilon() * std::abs(want.toDouble()));
}

static QStringList differences(const Session &session, const QJsonObject &want, const QJsonArray &byCosine) {
    QStringList found;
    const QString state = session.machine->activeStateNames(true).join(" ");
    if (state != want["state"].toString()) found << "state is " + state + ", must be " + want["state"].toString();
    for (const char *part : {"outputs", "kept"}) {
        const QJsonObject all = want[part].toObject(), got = session.shown[part].toObject();
        for (auto it = all.begin(); it != all.end(); ++it)
            if (!same(got[it.key()], it.value(), byCosine.contains(it.key())))
                found << it.key() + " is " + text(got[it.key()]) + ", must be " + text(it.value());
    }
    if (session.shown["cause"] != want["cause"])
        found << "cause is " + text(session.shown["cause"]) + ", must be " + text(want["cause"]);
    return found;
}

// replay returns what is wrong; empty if nothing is.
static QString replay(const QDir &folder, const QString &name, int *scans) {
    QFile file(folder.filePath(name));
    if (!file.open(QIODevice::ReadOnly)) return name + ": " + file.errorString();
    const QJsonObject head = QJsonDocument::fromJson(file.readLine()).object();
    const QString chart = folder.filePath(head["chart"].toString());
    const QJsonArray byCosine = head["by_cosine"].toArray();
    std::unique_ptr<Session> session;
    QVariantMap image;
    QJsonObject want;
    QString error;
    for (int at = 2; !file.atEnd(); at++) {
        const QJsonObject line = QJsonDocument::fromJson(file.readLine()).object();
        const QString place = name + ":" + QString::number(at) + ": ";
        if (line.contains("begin")) {
            session = begin(chart, &error);
            if (error.isEmpty() && line["begin"].toString() == "operation") {
                session->machine->submitEvent("operation");
                settle();
            }
            if (!error.isEmpty()) return place + error;
            image.clear();
            want = QJsonObject();
            continue;
        }
        const QVariantMap changed = line["image"].toObject().toVariantMap();
        for (auto it = changed.begin(); it != changed.end(); ++it) image[it.key()] = it.value();
        for (const char *part : {"outputs", "kept"}) {
            QJsonObject all = want[part].toObject();
            put(&all, line[part].toObject());
            want[part] = all;
        }
        for (const char *one : {"state", "cause"})
            if (line.contains(one)) want[one] = line[one];
        QVariantMap data = image;
        if (line.contains("scans")) data["scans"] = line["scans"].toInt();
        session->machine->submitEvent("scan", data);
        settle();
        (*scans)++;
        const QStringList found = differences(*session, want, byCosine);
        if (!error.isEmpty() || !found.isEmpty()) return place + error + found.join("; ");
    }
    return QString();
}

int main(int argc, char **argv) {
    QCoreApplication application(argc, argv);
    QLoggingCategory::setFilterRules("scxml.*=false"); // the log goes to the signal
    QTextStream out(stdout), err(stderr);
    const QDir folder(argc > 1 ? argv[1] : ".");
    const QStringList all = folder.entryList({"*.jsonl"}, QDir::Files, QDir::Name);
    const int part = argc > 3 ? atoi(argv[2]) : 0, parts = argc > 3 ? atoi(argv[3]) : 1;
    QStringList files;
    for (int i = part; i < all.size(); i += parts) files << all[i];
    int scans = 0, wrong = 0;
    for (const QString &name : files) {
        const QString problem = replay(folder, name, &scans);
        if (problem.isEmpty()) continue;
        wrong++;
        err << problem << Qt::endl;
    }
    out << "Qt " << qVersion() << ": " << files.size() << " recordings, " << scans << " scans as on the bench, " << wrong << " recordings not" << Qt::endl;
    return wrong || files.isEmpty() ? 1 : 0;
}
